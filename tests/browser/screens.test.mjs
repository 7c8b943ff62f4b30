// Every screen at every size: nothing wider than the screen, cut or covered, targets for a thumb, two thirds for the work.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {onBench, shot} from './bench.mjs';
import {addMold, aimForPhoto, openCup, pourIt, trySample, viewIs} from './hands.mjs';
import {faultsOf, huesOf, openAll, painted, SIZES} from './screens.mjs';

const here = onBench();

async function atEverySize(page, name) {
  for (const [size, viewport] of Object.entries(SIZES)) {
    await page.setViewportSize(viewport);
    await painted(page);
    assert.deepEqual(await faultsOf(page), [], `${name}, ${size}`);
    await page.locator('#main').evaluate((node) => node.scrollTo(0, 0));
    await shot(page, `screens-${name}-${viewport.width}x${viewport.height}`, false);
  }
  await page.setViewportSize(SIZES.desk);
}

async function withoutHue(page, name) {
  for (const colorScheme of ['light', 'dark']) {
    await page.emulateMedia({colorScheme});
    await painted(page);
    assert.deepEqual(await huesOf(page), [], `${name}, ${colorScheme}`);
  }
  await page.emulateMedia({colorScheme: 'light'});
}

test('an empty book', async () => {
  const {page} = here.view;
  await page.locator('[data-do=sample]').waitFor();
  await atEverySize(page, 'empty-book');
});

test('the bench with advice', async () => {
  const {page} = here.view;
  await trySample(page);
  await aimForPhoto(page);
  await openCup(page, 'middle');
  await atEverySize(page, 'stack');
  await openAll(page);
  await atEverySize(page, 'stack-open');
  await withoutHue(page, 'stack');
});

test('marking with the photo filling the screen', async () => {
  const {page} = here.view;
  await page.locator('[data-do=full]').click();
  await atEverySize(page, 'marking');
  await page.locator('.mark[data-id="layer:middle"]').click();
  await atEverySize(page, 'marking-layer');
  await withoutHue(page, 'marking');
  await page.locator('[data-do=leave-full]').click();
});

test('a cup being changed, and a message', async () => {
  const {page} = here.view;
  await pourIt(page, 'belly');
  await (await openCup(page, 'belly')).getByRole('button', {name: 'Change'}).click();
  await atEverySize(page, 'cup-changed');
  await page.getByRole('button', {name: 'Leave as it was'}).click();
});

test('a long error wraps, and covers nothing', async () => {
  const {page} = here.view;
  await page.evaluate(async () => {
    const {tellNote} = await import('/app/bench/state.js');
    tellNote(`The photo ${'of-a-very-long-name'.repeat(9)}.jpg can\u2019t be read.`, {bad: true});
  });
  await page.locator('#alerts').getByText('can\u2019t be read').waitFor();
  for (const size of ['small phone', 'phone', 'desk']) {
    await page.setViewportSize(SIZES[size]);
    const faults = (await faultsOf(page)).filter((fault) => !fault.includes('for the work')); // it is being read
    assert.deepEqual(faults, [], size);
  }
  await page.locator('#alerts').getByRole('button', {name: 'Close'}).click();
});

test('what lies on the bench is seen and switched at every size', async () => {
  const {page} = here.view;
  for (const [size, viewport] of Object.entries(SIZES)) {
    await page.setViewportSize(viewport);
    const title = page.getByRole('button', {name: /^Creek crawfish/});
    assert.ok(await title.isVisible(), size);
    await title.click();
    await page.locator('#chooser .choice').first().waitFor();
    assert.deepEqual(await faultsOf(page), [], `chooser, ${size}`);
    await page.locator('#chooser').getByRole('button', {name: 'Close'}).click();
  }
});

for (const view of ['targets', 'batches', 'bottles', 'plan', 'sheet', 'settings'])
  test(`the view ${view}`, async () => {
    const {page} = here.view;
    await page.goto(`${here.bench.url}#${view}`);
    await viewIs(page, view);
    if (view === 'plan') await addMold(page, 'craw');
    await openAll(page);
    await atEverySize(page, view);
    await withoutHue(page, view);
  });

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
