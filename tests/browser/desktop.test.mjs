// From an empty book to a batch on the drift strip and a sheet on paper, at a laptop.
import assert from 'node:assert/strict';
import {readFileSync} from 'node:fs';
import {test} from 'node:test';
import {onBench, sample, shot} from './bench.mjs';
import {aimForPhoto, cupHolds, makePattern, openCup, pourIt, viewIs} from './hands.mjs';
import {choosePhoto, markCrawfish, onScreen, savedMarks, settledReadings, unfound} from './marking-hands.mjs';

const here = onBench({expect: [422]}); // a photo that is none

test('an empty book asks what to pour, and a pattern goes on the bench', async () => {
  const {page} = here.view;
  await page.getByRole('heading', {name: 'What do you want to pour?'}).waitFor();
  await shot(page, 'desktop-1-empty-book');
  await makePattern(page, 'creek crawfish');
  assert.equal(await page.locator('.band').count(), 3);
});

test('a photo that is none is refused in words, and nothing is lost', async () => {
  const {page} = here.view;
  await page.locator('.photo .file-button:not(.take) input').setInputFiles({
    name: 'broken.jpg',
    mimeType: 'image/jpeg',
    buffer: Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0]), Buffer.alloc(4000, 7)]),
  });
  const why = page.locator('.photo .note.bad');
  await why.waitFor();
  assert.match(await why.textContent(), /\w+ .*\./);
  await shot(page, 'desktop-2-broken-photo');
  assert.equal(await page.locator('.empty-stage').count(), 1);
  await page
    .locator('.photo .file-button:not(.take) input')
    .setInputFiles({name: 'notes.txt', mimeType: 'text/plain', buffer: Buffer.from('no photo')});
  await page.getByText('notes.txt is no JPEG, PNG or HEIC photo').waitFor();
});

test('card and layers are marked by pointing, and read', async () => {
  const {page} = here.view;
  await choosePhoto(page, await unfound(page));
  await markCrawfish(page);
  const words = await page.locator('.readings').textContent();
  // The batch of the story: a brown back, an orange middle, a yellowish belly (samples/README.md).
  assert.match(words, /Back .*brown/);
  assert.match(words, /Belly .*tan/);
  assert.equal(await page.locator('.overlay .patch').count(), 24);
  await page.getByLabel('Pixels set aside').check();
  await page.waitForFunction(() => document.querySelectorAll('.aside canvas').length === 3);
  await shot(page, 'desktop-3-marked');
});

test('a reading follows the region while it is dragged', async () => {
  const {page} = here.view;
  const before = await page.locator('.reading').nth(2).textContent();
  const tag = await page.locator('.tag[data-mark="layer:belly"]').boundingBox();
  await page.mouse.move(tag.x + 10, tag.y + 10);
  await page.mouse.down();
  for (let i = 1; i <= 10; i++) await page.mouse.move(tag.x + 10, tag.y + 10 - 1.5 * i);
  await page.waitForFunction((old) => document.querySelectorAll('.reading')[2]?.textContent !== old, before);
  await page.mouse.up();
  await page.getByRole('button', {name: 'Undo'}).first().click();
  await page.waitForFunction((old) => document.querySelectorAll('.reading')[2]?.textContent === old, before);
});

test('a mark just drawn outlives news from the server, and is read as it stands', async () => {
  const {page} = here.view;
  await savedMarks(page);
  const tag = page.locator('.tag[data-mark="layer:back"]');
  await tag.focus();
  const place = () =>
    page.evaluate(async () => {
      const {state} = await import('/app/bench/state.js');
      return Number(state.marks.layers.find((l) => l.name === 'back').shape.match(/[\d.]+/)[0]);
    });
  const before = await place();
  // In one turn, so that the move surely waits to be sent: a key, and the work as the server had it before.
  await page.evaluate(async () => {
    const {takeWork} = await import('/app/bench/work.js');
    const {state} = await import('/app/bench/state.js');
    document.activeElement.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true}));
    takeWork({...state.work});
  });
  assert.ok((await place()) > before + 1, 'a step of 2 px to the right');
  await page.getByRole('button', {name: 'Undo'}).first().click();
  while (Math.abs((await place()) - before) >= 1) await page.waitForTimeout(20);
  await settledReadings(page, 3);
});

test('a reload loses nothing', async () => {
  const {page} = here.view;
  const before = await page.locator('.readings').textContent();
  await page.reload();
  await settledReadings(page, 3);
  assert.equal(await page.locator('.readings').textContent(), before);
  assert.equal(await page.locator('.tick.has').count(), 4);
});

test('targets bring advice; what is poured is logged, in the cup and asks for the next photo', async () => {
  const {page} = here.view;
  await aimForPhoto(page);
  await shot(page, 'desktop-4-advice');
  for (const layer of ['back', 'middle', 'belly']) {
    const added = await pourIt(page, layer);
    assert.match(added, /^\d/);
    const holds = (await cupHolds(page, layer)).toLowerCase();
    for (const [, drops, bottle] of added.matchAll(/(\d+) ([a-z-]+)/g))
      assert.ok(holds.includes(`${bottle} ${drops}`), `${layer}: ${added} in ${holds}`);
  }
  await page.locator('.next-text').getByText('take the next photo').waitFor();
  await shot(page, 'desktop-5-poured');
});

test('advice of the cup as it was is not offered again while the next is worked out', async () => {
  const {page} = here.view;
  await page.getByRole('button', {name: 'Undo'}).first().click();
  await (await openCup(page, 'belly')).locator('[data-pour=belly]').waitFor();
  let answer;
  const held = new Promise((go) => (answer = go));
  await page.route('**/api/advise', (route) => held.then(() => route.continue()).catch(() => {}));
  await pourIt(page, 'belly');
  await (await openCup(page, 'belly')).getByText('Working out what to add').waitFor();
  assert.equal(await page.locator('[data-pour=belly]').count(), 0);
  assert.equal(await page.locator('#cup-belly').getByText('By its drops').count(), 0);
  answer();
  await page.locator('#cup-belly').getByText('By its drops: ').waitFor();
  await page.unroute('**/api/advise');
});

test('the next photo takes over the marks, and is read into the cups', async () => {
  const {page} = here.view;
  await choosePhoto(page, await unfound(page));
  await settledReadings(page, 3);
  await page.locator('[data-next=right]').click();
  await page.locator('[data-do=measured]').click();
  await (await openCup(page, 'middle')).getByText('Measured:').waitFor();
  await shot(page, 'desktop-6-measured');
});

test('a reading taken back is out of the book, which the page says', async () => {
  const {page} = here.view;
  await page.getByRole('button', {name: 'Undo'}).first().click();
  await page.getByText(/^Taken back: back read.* in batch 1 of /).waitFor();
  await (await openCup(page, 'middle')).getByText('By its drops:').waitFor();
  await page.getByRole('link', {name: 'Batches'}).click();
  await page.getByText('None has been read yet').waitFor();
  await page.getByRole('link', {name: 'Mix'}).click();
  await page.locator('[data-do=measured]').click();
  await (await openCup(page, 'middle')).getByText('Measured:').waitFor();
});

test('the batch stands on the drift strip and opens again with its photo', async () => {
  const {page} = here.view;
  await page.getByRole('link', {name: 'Batches'}).click();
  await viewIs(page, 'batches');
  await page.locator('.batch').first().waitFor();
  assert.equal(await page.locator('.strip').count(), 3);
  await page.locator('.batch').first().click();
  await page.locator('.batch-open .stage .tag').first().waitFor();
  await shot(page, 'desktop-7-batches');
});

test('the sheet prints', async () => {
  const {page} = here.view;
  await page.getByRole('link', {name: 'Plan'}).click();
  await page.getByRole('link', {name: 'Cup sheet'}).click();
  await viewIs(page, 'sheet');
  await page.getByRole('heading', {name: /cup sheet/}).waitFor();
  await page.emulateMedia({media: 'print'});
  assert.equal(await page.locator('#nav').isVisible(), false);
  await shot(page, 'desktop-8-sheet-on-paper');
  const pdf = await page.pdf({format: 'Letter'});
  assert.equal(pdf.subarray(0, 5).toString(), '%PDF-');
  await page.emulateMedia({media: 'screen'});
});

test('patterns keep their targets, and a batch can be closed', async () => {
  const {page} = here.view;
  await page.getByRole('link', {name: 'Targets'}).click();
  await viewIs(page, 'targets');
  await page.locator('.target').getByText('since').first().waitFor();
  await shot(page, 'desktop-9-targets');
  await page.getByRole('link', {name: 'Mix'}).click();
  await page.getByRole('button', {name: 'Done, it is good'}).click();
  await page.getByText('The batch is closed').first().waitFor();
  await page.getByRole('button', {name: 'Undo'}).first().click();
  await page.getByText(/^Taken back: a batch of .* closed and called good/).waitFor();
  await (await openCup(page, 'middle')).getByText('Measured:').waitFor();
  await page.getByRole('button', {name: 'Done, it is good'}).click();
  await page.getByText('The batch is closed').first().waitFor();
});

test('bottles are fitted from a photo of chips', async () => {
  const {page} = here.view;
  await page.getByRole('link', {name: 'Bottles'}).click();
  await viewIs(page, 'bottles');
  await page.locator('.bottle').first().waitFor();
  await shot(page, 'desktop-10-shelf');
  await page.getByRole('link', {name: 'Fit from chips'}).click();
  await page.locator('[data-sample=chips-1]').click();
  // A chip tapped on the photo is chosen, though the next tap beside it would point at another.
  const chips = JSON.parse(readFileSync(sample('chips-1.marks.json'))).layers;
  const [x, y, rx] = chips[10].shape.match(/[\d.]+/g).map(Number);
  await page.locator('.chips .choice').nth(26).waitFor(); // 27 chips, each over black and over white
  const at = await onScreen(page);
  await page.mouse.click(...at([x + rx / 2, y]));
  await page
    .locator('.chips .choice.chosen')
    .getByText(/^6\. /)
    .waitFor();
  await page.getByRole('button', {name: 'Fit from 54 chips'}).click();
  await page.getByRole('heading', {name: 'Fitted'}).waitFor({timeout: 60000});
  await shot(page, 'desktop-11-chips');
  await page.getByRole('link', {name: 'See the shelf'}).click();
  await page.getByText('These bottles are invented').waitFor({state: 'detached'});
  assert.equal(
    await page
      .getByRole('article', {name: /^orange/i})
      .locator('.loadings li')
      .count(),
    3,
  );
  await shot(page, 'desktop-12-own-shelf');
});

test('what an adviser goes by is set, kept in the book, and taken back', async () => {
  const {page} = here.view;
  const kept = async () => {
    const state = await page.evaluate(async () => (await fetch('/api/state')).json());
    const [plugin] = state.plugins.filter((p) => p.parameters?.length);
    return plugin.parameters[0];
  };
  const before = await kept();
  await page.goto(new URL('/#settings', page.url()).href);
  const field = page.getByRole('heading', {name: 'How advice is given'}).locator('..').locator('input').first();
  await field.fill(String(before.most));
  await field.press('Tab');
  await page.getByText('Kept.').waitFor();
  assert.equal((await kept()).value, before.most);
  await field.fill('');
  await field.press('Tab');
  await page.waitForFunction(
    async (usual) =>
      (await (await fetch('/api/state')).json()).plugins.flatMap((p) => p.parameters ?? [])[0].value === usual,
    before.usual,
  );
});

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
