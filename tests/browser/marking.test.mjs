// Marking with a thumb on a phone, counted: what is found needs hardly a tap, what is not is marked by hand in a few.
import assert from 'node:assert/strict';
import {readFileSync} from 'node:fs';
import {test} from 'node:test';
import {onBench, sample, shot} from './bench.mjs';
import {makePattern, pourIt} from './hands.mjs';
import {choosePhoto, CRAWFISH, savedMarks, settledReadings, unfound} from './marking-hands.mjs';
import {thumbOn} from './thumb.mjs';

const here = onBench({phone: true, expect: [422, 503]});
const LAYERS = ['back', 'middle', 'belly'];

const adviceIsThere = async (page) => {
  for (const layer of LAYERS) await page.locator(`[data-layer=${layer}]:not(.waits)`).getByText(/^Add /).waitFor();
};

const labs = (page) =>
  page.evaluate(async () => {
    const {state} = await import('/app/bench/state.js');
    return Object.fromEntries(state.work.cups.map((cup) => [cup.layer, state.readings[cup.layer]?.reading?.lab]));
  });

const shapes = (page) =>
  page.evaluate(async () => {
    const {state} = await import('/app/bench/state.js');
    return Object.fromEntries(state.marks.layers.map((l) => [l.name, l.shape]));
  });

/** Handles, tags and buttons that a fingertip could miss. */
const tooSmall = (page) =>
  page.evaluate(() =>
    [...document.querySelectorAll('#main button, #next button')]
      .map((node) => [node, node.getBoundingClientRect()])
      .filter(([, box]) => box.width > 0 && (box.width < 43.5 || box.height < 43.5))
      .map(([node, box]) => `${node.outerHTML.slice(0, 90)} ${box.width} x ${box.height}`),
  );

async function markByHand(page, thumb, shift = [0, 0]) {
  for (const corner of CRAWFISH.corners.slice(0, 3)) await thumb.point(corner);
  await page.locator('.mark[data-id=card] .tick.has').waitFor();
  for (const layer of LAYERS) {
    const [from, to] = CRAWFISH.boxes[layer].map(([x, y]) => [x + shift[0], y + shift[1]]);
    await thumb.drag(from, to);
    await page.locator(`.mark[data-id="layer:${layer}"] .tick.has`).waitFor();
  }
  await settledReadings(page, 3);
}

test('nothing is found: eight taps from the first photo to advice', async () => {
  const {page} = here.view;
  await makePattern(page, 'by hand');
  const thumb = await thumbOn(page);
  await choosePhoto(page, await unfound(page));
  await page.locator('.next .card-picture').waitFor();
  await page.locator('.next-text').getByText('dark brown corner').waitFor();
  await shot(page, 'marking-1-card', false);
  await markByHand(page, thumb);
  await shot(page, 'marking-2-marked', false);
  assert.deepEqual(await tooSmall(page), []);
  await thumb.tap(page.locator('[data-next=targets]'));
  await page.locator('.photo.full').waitFor({state: 'detached'});
  await adviceIsThere(page);
  const taps = thumb.take();
  console.log(`first photo, all by hand: ${taps} taps`);
  assert.ok(taps <= 8, `${taps}`);
});

test('nothing is found: the layers of the photo before are asked about, and moved by one drag', async () => {
  const {page} = here.view;
  const thumb = await thumbOn(page);
  for (const layer of LAYERS) await pourIt(page, layer);
  const before = await labs(page);
  const shift = [60, 90];
  await choosePhoto(page, await unfound(page, shift));
  await page.locator('.next-text').getByText('Do the layers still lie right').waitFor();
  // Never read silently: there is no way to keep them before the question is answered.
  assert.equal(await page.locator('[data-next=measured], [data-do=measured]').count(), 0);
  await shot(page, 'marking-3-carried', false);
  const [[x0, y0], [x1, y1]] = CRAWFISH.boxes.middle;
  const middle = [(x0 + x1) / 2, (y0 + y1) / 2];
  await thumb.drag(middle, [middle[0] + shift[0], middle[1] + shift[1]]);
  await settledReadings(page, 3);
  await thumb.tap(page.locator('[data-next=right]'));
  const after = await labs(page);
  for (const layer of LAYERS)
    for (const k of [0, 1, 2])
      assert.ok(Math.abs(before[layer][k] - after[layer][k]) < 3, `${layer}: ${before[layer]} and ${after[layer]}`);
  await thumb.tap(page.locator('[data-next=measured]'));
  await page.getByText('The cups now have the colors of this photo').waitFor();
  const taps = thumb.take();
  console.log(`next photo of a moved bait, by hand: ${taps} taps`);
  assert.ok(taps <= 8, `${taps}`);
});

test('a mark beside the bait is asked about before it is kept', async () => {
  const {page} = here.view;
  const thumb = await thumbOn(page);
  await choosePhoto(page, sample('crawfish-1.jpg'));
  await settledReadings(page, 3);
  await thumb.tap(page.locator('.tag[data-mark="layer:belly"]'));
  assert.deepEqual(await tooSmall(page), []); // with the handles of a layer that was found
  await thumb.tap(page.getByRole('button', {name: 'Draw anew'}));
  await thumb.drag([1180, 80], [1290, 140]);
  await page.locator('.tag.doubted').getByText('the board?').waitFor();
  await savedMarks(page);
  await thumb.tap(page.locator('.photo [data-do=measured]'));
  await page.locator('#next .doubts').getByText('color of the board').waitFor();
  await shot(page, 'marking-4-doubt', false);
  await thumb.tap(page.locator('[data-do=look-again]'));
  await page.locator('.doubts').waitFor({state: 'detached'});
  assert.equal(await page.locator('.mark[data-id="layer:belly"]').getAttribute('aria-pressed'), 'true');
});

test('all is found: three taps from the first photo to advice, two for the next', async () => {
  const {page} = here.view;
  await page.locator('.title').tap();
  await page.locator('#chooser').getByLabel('Name of the pattern').fill('found');
  await page.locator('#chooser').getByRole('button', {name: 'Put it on the bench'}).tap();
  await page.locator('.empty-stage').waitFor();
  const thumb = await thumbOn(page);
  await choosePhoto(page, sample('crawfish-1.jpg'));
  await settledReadings(page, 3);
  await page.locator('.photo').getByText('Which side is the back is taken from how the bait lies').waitFor();
  await shot(page, 'marking-5-found', false);
  await thumb.tap(page.locator('[data-next=targets]'));
  await adviceIsThere(page);
  const first = thumb.take();
  for (const layer of LAYERS) await pourIt(page, layer);
  await choosePhoto(page, sample('crawfish-2.jpg'));
  await settledReadings(page, 3);
  assert.equal(await page.locator('.photo').getByText('Which side is the back').count(), 0); // the targets tell
  await thumb.tap(page.locator('[data-next=measured]'));
  await page.getByText('The cups now have the colors of this photo').waitFor();
  const next = thumb.take();
  console.log(`found: first photo ${first} taps, the next ${next}`);
  assert.ok(first <= 3 && next <= 2, `${first}, ${next}`);
});

test('a bait found the wrong way round is turned, and another of the shot is chosen by a tap on it', async () => {
  const {page} = here.view;
  const thumb = await thumbOn(page);
  await choosePhoto(page, sample('baitfish-1.jpg'));
  await settledReadings(page, 3);
  await shot(page, 'marking-6-three-baits', false);
  const before = await shapes(page);
  await thumb.tap(page.locator('[data-do=turn]'));
  const turned = await shapes(page);
  assert.deepEqual([turned.back, turned.middle, turned.belly], [before.belly, before.middle, before.back]);
  await thumb.tap(page.locator('[data-do=turn]'));
  await thumb.point([560, 440]);
  await page.getByText('Bait 2 of 3').waitFor();
  await settledReadings(page, 3);
  assert.notDeepEqual(await shapes(page), before);
  await savedMarks(page);
  const chosen = await shapes(page);
  await page.reload();
  await settledReadings(page, 3);
  await page.getByText('Bait 2 of 3').waitFor();
  assert.deepEqual(await shapes(page), chosen);
  assert.equal(await page.locator('.stage .edge.faint').count(), 2);
  await thumb.tap(page.locator('[data-do=measured-all]'));
  await page.locator('.doubts, #notes :text("The cups now have the colors")').first().waitFor();
});

test('a photo in which nothing was found is searched once more in the light that is marked', async () => {
  const {page} = here.view;
  await page.locator('.title').tap();
  await page.locator('#chooser').getByLabel('Name of the pattern').fill('by its card');
  await page.locator('#chooser').getByRole('button', {name: 'Put it on the bench'}).tap();
  await page.locator('.empty-stage').waitFor();
  const thumb = await thumbOn(page);
  await page.evaluate(async () => (await import('/app/bench/shop.js')).saveSettings({'card-width': '52'}));
  const busy = (route) => route.fulfill({status: 503, json: {error: 'The bench is still searching other photos.'}});
  await page.route('**/find', busy, {times: 1});
  await choosePhoto(page, sample('crawfish-1.jpg'));
  assert.deepEqual(await shapes(page), {});
  const {corners} = JSON.parse(readFileSync(sample('crawfish-1.marks.json'))).card;
  for (const i of [0, 1, 2]) await thumb.point(corners.slice(2 * i, 2 * i + 2));
  await settledReadings(page, 3);
  await shot(page, 'marking-7-found-by-card', false);
  const said = await page.evaluate(async () => (await import('/app/bench/marks.js')).foundHere().words);
  assert.equal(said, 'One bait was found in the light that is marked.');
  await page.locator('[data-do=leave-full]').tap();
  await page.getByText(/^Its body is [\d.]+ mm long and [\d.]+ mm high; its layers blend over [\d.]+ and [\d.]+ mm\.$/).waitFor();
  await shot(page, 'marking-8-in-mm', false);
  // Found layers stay where they are when the light is marked otherwise, and are read in it.
  const [before, found] = [await labs(page), await shapes(page)];
  await page.evaluate(async () => {
    const {setMark} = await import('/app/bench/marks.js');
    setMark('gray', {kind: 'rect', x: 60, y: 60, w: 40, h: 40}, true);
  });
  await settledReadings(page, 3);
  assert.deepEqual(await shapes(page), found);
  assert.notDeepEqual(await labs(page), before);
});

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
