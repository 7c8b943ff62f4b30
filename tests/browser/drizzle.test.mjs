// Drops of the cups on a white table: one tap says that the photo is of these, and another asks about their order.
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {test} from 'node:test';
import path from 'node:path';
import {onBench, sample, shot} from './bench.mjs';
import {faultsOf, painted, SIZES} from './screens.mjs';

const here = onBench({expect: [422]});
const CUPS = {back: {brown: 24, orange: 8}, side: {orange: 20, white: 4}, belly: {white: 10, yellow: 5}};
const RECIPES = ['brown=6;orange=2', 'orange=5;white=1', 'white=2.5;yellow=1.25'];
const command = (...words) => here.bench.command(...words);

function photoOf(name, recipes) {
  const file = path.join(here.bench.folder, name);
  execFileSync(process.env.DROPWISE_DRIZZLE, [file, '11', '1100', '1.8', ...recipes]);
  return file;
}

/** The cups are full by the page's own interface; then the page is opened on them. */
async function filled(page) {
  command('bottle', 'chips', sample('chips.csv'));
  command('bottle', 'fit');
  command('pattern', 'add', 'craw', '--layer', 'back', '--layer', 'side', '--layer', 'belly');
  for (const [layer, lab] of [['back', '36,10,14'], ['side', '54,22,24'], ['belly', '70,0,14']])
    command('target', 'set', 'craw', layer, '--lab', lab);
  await page.reload();
  await page.evaluate(async (cups) => {
    const post = async (where, body) =>
      (await fetch(where, {method: 'POST', headers: {'X-Dropwise': '1', 'Content-Type': 'application/json'}, body: JSON.stringify(body)})).json();
    const boot = await (await fetch('/api/state')).json();
    let work = await post('/api/work', {pattern: boot.patterns[0].id});
    for (const [layer, add] of Object.entries(cups)) {
      const {seen} = work.cups.find((cup) => cup.layer === layer);
      work = await post(`/api/work/${work.id}/pour`, {layer, seen, add});
    }
  }, CUPS);
  await page.reload();
  await page.locator('.stack').waitFor();
}

const next = (page) => page.locator('.next');

test('a photo of drops is read with one tap, and advised on', async () => {
  const {page} = here.view;
  await filled(page);
  await next(page).getByText('Drizzle a little of each cup').waitFor();
  await next(page).locator('.choose input').setInputFiles(photoOf('drops.jpg', RECIPES));
  await next(page).locator('[data-do=drops]').click();
  await page.getByText('The cups now have the colors that their drops tell').waitFor();
  const {readings} = JSON.parse(command('reading', 'list', 'craw', '--json'));
  assert.deepEqual(readings.map((r) => [r.layer, r.drizzled]), [['back', true], ['side', true], ['belly', true]]);
  // No layer of it is asked for any more.
  await next(page).getByText(/^Next: (Add|Every|Count)/).waitFor();
  assert.equal(await next(page).locator('[data-do=drops]').count(), 0);
  await shot(page, 'drizzle-1-read');
});

test('drops in another order are asked about', async () => {
  const {page} = here.view;
  const undo = page.locator('#notes').getByRole('button', {name: 'Undo'});
  await undo.click();
  await page.getByText('Taken back').waitFor();
  await page.locator('.photo .file-button:not(.take) input').setInputFiles(photoOf('turned.jpg', [...RECIPES].reverse()));
  await next(page).locator('[data-do=drops]').click();
  await next(page).getByText('look like belly, side, back').waitFor();
  for (const [size, viewport] of Object.entries(SIZES)) {
    await page.setViewportSize(viewport);
    await painted(page);
    assert.deepEqual((await faultsOf(page)).filter((fault) => !fault.includes('for the work')), [], size);
  }
  await page.setViewportSize(SIZES.desk);
  await shot(page, 'drizzle-2-order');
  assert.equal(JSON.parse(command('reading', 'list', 'craw', '--json')).readings.length, 0);
  await next(page).locator('[data-next=order]').click();
  await page.getByText('The cups now have the colors that their drops tell').waitFor();
  assert.equal(JSON.parse(command('reading', 'list', 'craw', '--json')).readings.length, 3);
});

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
