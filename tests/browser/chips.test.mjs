// 54 chips pointed at with a thumb, and no key touched: counted, and held to what the sample's own marks say.
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {readFileSync} from 'node:fs';
import {test} from 'node:test';
import path from 'node:path';
import {onBench, sample, shot} from './bench.mjs';
import {thumbOn} from './thumb.mjs';

const here = onBench({phone: true, expect: [422]});
const TRUTH = JSON.parse(readFileSync(sample('chips-1.marks.json'))).layers.map((l) => {
  const [x, y] = l.shape.match(/[\d.]+/g).map(Number);
  return {x, y, over: l.over, recipe: l.recipe};
});
/* Columns of the sheet: three loadings of a bottle from above; the last one has what is no such series. */
const COLUMNS = ['orange', 'yellow', 'red', 'brown', 'blue', 'green', 'black', 'white'];
const ROWS = [132, 318, 504];
const column = (i) => 136 + i * 133.9;

const drawn = (page) =>
  page.evaluate(async () => {
    const {draft} = await import('/app/bench/chips.js');
    return draft.chips.map((part) => {
      const [x, y, rx] = part.shape.match(/[\d.]+/g).map(Number);
      return {x, y, rx, over: part.over, recipe: part.recipe, pair: part.pair};
    });
  });

const pointed = async (page, n) => {
  while ((await drawn(page)).length < n) await page.waitForTimeout(20);
};

/** A bottle chosen by its swatch, its loading by steps from what it is. */
async function choose(page, thumb, bottle, steps = 0) {
  await thumb.tap(page.locator(`[data-bottle=${bottle}]`));
  const button = page.locator('[data-step=loading] button').nth(steps > 0 ? 1 : 0);
  for (let i = 0; i < Math.abs(steps); i++) await thumb.tap(button);
}

/* The shop's own bottles stand on the shelf before: naming them is no part of pointing. */
const ownBottles = (page) =>
  page.evaluate(async (names) => {
    const {post} = await import('/app/lib/api.js');
    const {reloadBoot} = await import('/app/bench/work.js');
    for (const id of names) await post('/api/shelf', {id, title: id, role: 'color', drop_ml: 0.05});
    await reloadBoot();
  }, COLUMNS);

test('54 chips in at most 90 actions, without a key', async () => {
  const {page} = here.view;
  await page.goto(`${here.bench.url}#bottles/chips`);
  await page.locator('.empty-stage').waitFor();
  await page.locator('#main .file-button:not(.take) input').setInputFiles(sample('chips-1.jpg'));
  await page.locator('.palette').waitFor(); // the card was found
  await ownBottles(page);
  await page.locator('[data-bottle=green]').waitFor();
  const thumb = await thumbOn(page);
  let n = 0;
  const tap = async (x, y) => {
    // A thumb does not meet the middle of a chip.
    await thumb.point([x + 9 * (n % 3) - 9, y + 7 * (n % 2) - 3]);
    n += 1;
    await pointed(page, 2 * n);
  };
  for (const [i, bottle] of COLUMNS.entries()) {
    await choose(page, thumb, bottle, bottle === 'black' ? -1 : bottle === 'white' ? 1 : 0);
    for (const y of ROWS) await tap(column(i), y);
    if (i === 1) await shot(page, 'chips-1-pointing');
  }
  await choose(page, thumb, 'clear');
  await tap(column(8), ROWS[0]);
  await choose(page, thumb, 'orange', 3);
  await thumb.tap(page.locator('[data-do=mix]'));
  await choose(page, thumb, 'brown', 2);
  await tap(column(8), ROWS[1]);
  await choose(page, thumb, 'blue', -2);
  await thumb.tap(page.locator('[data-do=mix]'));
  await choose(page, thumb, 'white', 2);
  await tap(column(8), ROWS[2]);
  const count = thumb.take();
  console.log(`54 chips: ${count} actions`);
  assert.ok(count <= 90, `${count}`);
  await shot(page, 'chips-2-all');
});

test('each circle lies on its half of its chip, a third of the chip wide, with what is in it', async () => {
  const all = await drawn(here.view.page);
  assert.equal(all.length, TRUTH.length);
  for (const chip of TRUTH) {
    const away = (c) => Math.hypot(c.x - chip.x, c.y - chip.y);
    const [nearest] = all.map((c) => ({...c, away: away(c)})).sort((a, b) => a.away - b.away);
    const said = `${chip.recipe} over ${chip.over} at ${chip.x}, ${chip.y}; ${JSON.stringify(nearest)}`;
    assert.equal(nearest.over, chip.over, said);
    assert.equal(nearest.recipe, chip.recipe, said);
    assert.ok(nearest.away < 10, said); // of a radius of 52 pixels
    assert.ok(Math.abs(nearest.rx - 52 / 3) < 4, said);
  }
});

test('a chip of the list is corrected, taken away and pointed at again; then they are fitted', async () => {
  const {page} = here.view;
  const thumb = await thumbOn(page);
  await thumb.tap(page.locator('.chips .choice').nth(1));
  await page.getByText('This chip: orange 4 + brown 2').waitFor();
  await thumb.tap(page.locator('[data-step=loading] button').nth(1));
  await page.locator('.chips .choice.chosen').getByText('orange 4, brown 4 over black and white').waitFor();
  await shot(page, 'chips-3-corrected', false);
  await thumb.tap(page.locator('[data-step=loading] button').nth(0));
  await thumb.tap(page.locator('[data-do=next-chip]'));
  await thumb.tap(page.getByRole('button', {name: 'Take back the last'}));
  assert.equal((await drawn(page)).length, 52);
  await thumb.point([column(8), ROWS[2]]);
  await pointed(page, 54);
  await page.getByRole('button', {name: 'Fit from 54 chips'}).tap();
  await page.getByRole('heading', {name: 'Fitted'}).waitFor();
  const [, mean] = (await page.locator('.report').textContent()).match(/to ([\d.]+) in the mean/);
  console.log(`fitted from chips pointed at: ${mean} in the mean`);
});

test('chips that the book has are listed, corrected and taken out', async () => {
  const {page} = here.view;
  await page.locator('[data-do=chip-book]').tap();
  await page.getByRole('heading', {name: '54 chips in the book'}).waitFor();
  await page.getByRole('button', {name: 'Correct orange 0.5 over white, 3 mm'}).tap();
  await page.getByText('This chip: orange 0.5').waitFor();
  await page.locator('[data-step=loading] button').nth(1).tap();
  await page.locator('[data-do=keep-edit]').tap();
  await page.locator('.chip-words').getByText('orange 1 over white, 3 mm').waitFor();
  await shot(page, 'chips-4-in-the-book', false);
  await page.getByRole('button', {name: 'Take out orange 1 over white, 3 mm'}).tap();
  await page.getByRole('heading', {name: '53 chips in the book'}).waitFor();
});

test('a whole sheet is found: what is in each row is said once', async () => {
  const {page} = here.view;
  const photo = path.join(here.bench.folder, 'sheet.jpg');
  execFileSync(process.env.DROPWISE_SHEET, [photo, '3', '1200']);
  await page.goto(`${here.bench.url}#bottles/chips`);
  await page.locator('#main .chips-bench, #main .empty-stage').first().waitFor();
  if (await page.getByRole('button', {name: 'Another photo'}).isVisible())
    await page.getByRole('button', {name: 'Another photo'}).click();
  await page.locator('.empty-stage input[type=file]').last().setInputFiles(photo);
  await page.getByText('5 rows of chips were found').waitFor();
  assert.equal(await page.locator('.stage .edge.faint').count(), 2 * (5 + 4 + 4 + 4 + 3));
  const rows = await page.locator('.chip-row').all();
  const say = async (i, bottle, loadings) => {
    await rows[i].locator('select').selectOption(bottle);
    if (!loadings) return;
    await rows[i].locator('input').fill(loadings);
    await rows[i].locator('input').press('Tab');
  };
  await say(0, 'orange', '0, 1, 2');
  await page.getByText('Row 1 has 5 chips: give 5 numbers').waitFor();
  assert.ok(await page.locator('[data-do=take-rows]').isDisabled());
  await say(0, 'orange', '0, 1, 2, 4, 8');
  for (const [i, bottle] of [[1, 'brown'], [2, 'white'], [3, 'blue']]) await say(i, bottle);
  await shot(page, 'chips-6-rows');
  await page.getByRole('button', {name: 'Take these 17 chips'}).click();
  await page.getByRole('button', {name: 'Fit from 34 chips'}).click();
  await page.getByText(/^The bottles explain/).waitFor();
});

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
