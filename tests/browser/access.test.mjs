// axe-core on every screen, at a desk and on a phone, light and dark: no serious and no critical finding.
import assert from 'node:assert/strict';
import {createRequire} from 'node:module';
import {readFileSync} from 'node:fs';
import {test} from 'node:test';
import {onBench, shot} from './bench.mjs';
import {settledReadings} from './marking-hands.mjs';
import {addMold, aimForPhoto, openCup, pourIt, trySample, viewIs} from './hands.mjs';
import {openAll, painted, SIZES} from './screens.mjs';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const ANSWERS = {
  gone: [503, 'The bench is busy.', 'Try again'],
  pair: [401, 'This device is not paired.', 'Pair'],
};
const here = onBench({expect: [503, 401]});

const {desk, phone} = SIZES;
const EVERY_RULE = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
/* Light and dark differ in nothing else. */
const COLOR_RULES = ['color-contrast', 'link-in-text-block'];

/** What axe finds that keeps somebody out. Its code runs beside the page's own, which the page's policy would refuse. */
async function findings(page, rules) {
  if (!(await page.evaluate(() => 'axe' in window))) await page.evaluate(axe);
  const {violations} = await page.evaluate(
    (runOnly) => window.axe.run(document, {resultTypes: ['violations'], runOnly}),
    rules,
  );
  const serious = violations.filter((v) => v.impact === 'serious' || v.impact === 'critical');
  const where = (node) => `${node.target.join(' ')} (${node.any[0]?.message ?? ''})`;
  return serious.map((v) => `${v.id}: ${v.nodes.slice(0, 4).map(where).join('; ')}`);
}

/** One screen, in each size and mode. */
async function look(page, name) {
  for (const [size, viewport] of Object.entries({desk, phone})) {
    await page.setViewportSize(viewport);
    for (const colorScheme of ['light', 'dark']) {
      await page.emulateMedia({colorScheme});
      await painted(page);
      const found = await findings(page, colorScheme === 'light' ? EVERY_RULE : COLOR_RULES);
      assert.deepEqual(found, [], `${name}, ${size}, ${colorScheme}`);
      if ((size === 'phone') === (colorScheme === 'dark'))
        await shot(page, `access-${name}-${size}-${colorScheme}`);
    }
  }
  await page.setViewportSize(desk);
  await page.emulateMedia({colorScheme: 'light'});
  await painted(page);
}

test('an empty book', async () => {
  const {page} = here.view;
  await page.locator('[data-do=sample]').waitFor();
  await look(page, 'empty-book');
});

test('the bench with a photo, advice, and all that opens', async () => {
  const {page} = here.view;
  await trySample(page);
  await aimForPhoto(page);
  await page.locator('.mark[data-id=card]').click();
  await page.getByLabel('Pixels set aside').check();
  await page.locator('.aside canvas').nth(2).waitFor();
  await openAll(page);
  await look(page, 'mix');
});

test('a cup being changed, a region being marked, a message', async () => {
  const {page} = here.view;
  await pourIt(page, 'belly');
  await page.locator('.mark[data-id="layer:belly"]').click();
  await (await openCup(page, 'belly')).getByRole('button', {name: 'Change'}).click();
  await page.locator('.edit').waitFor();
  await look(page, 'cup-changed');
  await page.getByRole('button', {name: 'Leave as it was'}).click();
});

test('marking with the photo filling the screen: a layer, and which corner of the card', async () => {
  const {page} = here.view;
  await page.locator('[data-do=full]').click();
  await page.locator('.mark[data-id="layer:middle"]').click();
  await look(page, 'marking-layer');
  await page.locator('.mark[data-id=card]').click();
  await page.getByRole('button', {name: 'Take away'}).click();
  await page.locator('.next .card-picture').waitFor();
  await look(page, 'marking-card');
  await page.locator('[data-do=leave-full]').click();
  await page.getByRole('button', {name: 'Undo'}).first().click();
  await page.locator('.mark[data-id=card] .tick.has').waitFor();
  await settledReadings(page, 3);
});

test('cups that are measured, and the batch to be closed', async () => {
  const {page} = here.view;
  await page.locator('[data-do=measured]').click();
  await (await openCup(page, 'belly')).getByText('Measured:').waitFor();
  await look(page, 'measured');
});

for (const view of ['targets', 'batches', 'bottles', 'bottles/chips', 'plan', 'sheet', 'settings'])
  test(`the view ${view}`, async () => {
    const {page} = here.view;
    await page.goto(`${here.bench.url}#${view}`);
    await viewIs(page, view);
    if (view === 'plan') await addMold(page, 'craw');
    if (view === 'batches') {
      await page.locator('.batch').first().click();
      await page.locator('.batch-open .stage .tag').first().waitFor();
    }
    await openAll(page);
    await look(page, view.replace('/', '-'));
  });

test('chips pointed at in a photo', async () => {
  const {page} = here.view;
  await page.goto(`${here.bench.url}#bottles/chips`);
  await page.locator('[data-sample=chips-1]').click();
  await page.locator('.chips .choice').first().click();
  await page.getByText(/^This chip: /).waitFor();
  await page.locator('[data-do=chip-book]').click();
  await page.getByText('The book has no chips yet.').waitFor();
  await look(page, 'chips-pointed-at');
});

test('what lies on the bench', async () => {
  const {page} = here.view;
  await page.locator('.title').click();
  await page.locator('#chooser .choice').first().waitFor();
  await look(page, 'chooser');
  await page.locator('#chooser').getByRole('button', {name: 'Close'}).click();
});

test('a server that is busy, and a device that is not paired', async () => {
  const {page} = here.view;
  for (const [name, [status, error, button]] of Object.entries(ANSWERS)) {
    await page.route('**/api/state', (route) => route.fulfill({status, json: {error}}));
    await page.reload();
    await page.getByRole('button', {name: button, exact: true}).waitFor();
    await look(page, name);
    await page.unroute('**/api/state');
  }
});

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
