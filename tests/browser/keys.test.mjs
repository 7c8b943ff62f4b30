// The whole way with the keyboard alone.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {onBench, sample, shot} from './bench.mjs';
import {viewIs} from './hands.mjs';
import {CRAWFISH, onScreen, savedMarks, settledReadings, unfound} from './marking-hands.mjs';

const here = onBench({expect: [422]}); // a card not yet in its place

/** Tabs on until an element that fits has the focus; it must then show a focus ring. */
async function tabTo(page, selector, most = 90) {
  for (let i = 0; i < most; i++) {
    await page.keyboard.press('Tab');
    const there = await page.evaluate((wanted) => {
      const node = document.activeElement;
      if (!node?.matches(wanted)) return null;
      const ring = getComputedStyle(node.closest('.file-button') ?? node);
      return ring.outlineStyle !== 'none' && parseFloat(ring.outlineWidth) >= 2;
    }, selector);
    if (there === null) continue;
    assert.ok(there, `${selector} shows no focus`);
    return;
  }
  assert.fail(`no way by Tab to ${selector}`);
}

const corner = (page, i) =>
  page.evaluate((n) => {
    const node = document.querySelector(`[data-mark=card][data-handle="${n}"]`);
    return [parseFloat(node.style.left), parseFloat(node.style.top)];
  }, i);

/** Holds an arrow key down for a way: the first step is of 2 px, those of a held key of 8. */
async function hold(page, key, px) {
  if (px < 2) return;
  const repeats = Math.floor((px - 2) / 8);
  for (let i = 0; i <= repeats; i++) await page.keyboard.down(key);
  await page.keyboard.up(key);
}

/** Moves the focused handle by arrow keys until it is within a step of a place. */
async function walk(page, i, [x, y]) {
  for (let n = 0; n < 12; n++) {
    const [hx, hy] = await corner(page, i);
    if (Math.abs(x - hx) < 2 && Math.abs(y - hy) < 2) return;
    await hold(page, x > hx ? 'ArrowRight' : 'ArrowLeft', Math.abs(x - hx));
    await hold(page, y > hy ? 'ArrowDown' : 'ArrowUp', Math.abs(y - hy));
  }
  assert.fail(`corner ${i} did not get there`);
}

test('a pattern, a photo, the card and a layer by keys', async () => {
  const {page} = here.view;
  // Asked for early: the browser must know that the file is chosen here before the key is pressed.
  const chosen = page.waitForEvent('filechooser', {timeout: 60000});
  await page.getByLabel('Name of the pattern').first().waitFor();
  await tabTo(page, 'input[name=name]');
  await page.keyboard.type('creek crawfish');
  await page.keyboard.press('Enter');
  await page.locator('.empty-stage').waitFor();
  await tabTo(page, '.photo .file-button:not(.take) input');
  await page.keyboard.press('Space');
  const chooser = await chosen;
  await chooser.setFiles(await unfound(page));
  await page.locator('.marks').waitFor();
  await tabTo(page, '[data-next=place]');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement?.dataset.mark === 'card');
  const at = await onScreen(page);
  const stage = await page.locator('.stage').boundingBox();
  const places = CRAWFISH.corners.map((corner) => {
    const [x, y] = at(corner);
    return [x - stage.x, y - stage.y];
  });
  // In an order in which none comes to lie on another: handles keep a fingertip apart.
  for (const i of [0, 1, 3, 2]) {
    await page.evaluate((n) => document.querySelector(`[data-mark=card][data-handle="${n}"]`).focus(), i);
    await walk(page, i, places[i]);
  }
  await page.getByText(/^Light: card of 24 patches/).waitFor();
});

test('a layer is placed, moved, made larger and taken away by keys, and Ctrl+Z brings it back', async () => {
  const {page} = here.view;
  await page.locator('.mark[data-id="layer:back"]').focus();
  await page.keyboard.press('Enter');
  await tabTo(page, '[data-next=place]');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement?.dataset.mark === 'layer:back');
  await settledReadings(page, 1);
  const points = () =>
    page.evaluate(() =>
      document
        .querySelector('.overlay .edge.chosen')
        .getAttribute('points')
        .split(' ')
        .map((p) => p.split(',').map(Number)),
    );
  const first = await points();
  for (let i = 0; i < 5; i++) await page.keyboard.press('ArrowLeft');
  const movedTo = await points();
  for (let i = 0; i < 4; i++) {
    assert.ok(Math.abs(movedTo[i][0] - (first[i][0] - 10)) < 1.5, 'five steps of 2 px to the left');
    assert.ok(Math.abs(movedTo[i][1] - first[i][1]) < 0.5, 'and no other way');
  }
  for (let i = 0; i < 3; i++) await page.keyboard.press('Shift+ArrowRight');
  const larger = await points();
  assert.ok(larger[1][0] - larger[0][0] > movedTo[1][0] - movedTo[0][0] + 4, 'wider');
  await shot(page, 'keys-1-layer');
  await savedMarks(page);
  await page.keyboard.press('Delete');
  await page.waitForFunction(() => !document.querySelector('[data-id="layer:back"] .tick.has'));
  await savedMarks(page);
  await page.keyboard.press('Control+z');
  await page.locator('[data-id="layer:back"] .tick.has').waitFor();
});

test('the photo zooms and pans by keys', async () => {
  const {page} = here.view;
  await page.locator('.stage').focus();
  const transform = () => page.locator('.plate').evaluate((node) => node.style.transform);
  const before = await transform();
  await page.keyboard.press('+');
  const closer = await transform();
  assert.notEqual(closer, before);
  await page.keyboard.press('ArrowRight');
  assert.notEqual(await transform(), closer);
  await page.keyboard.press('0');
  assert.equal(await transform(), before);
});

test('every view is reached by Tab and Enter', async () => {
  const {page} = here.view;
  for (const name of ['targets', 'batches', 'bottles', 'plan', 'sheet', 'mix']) {
    await tabTo(page, `a[href="#${name}"]`);
    await page.keyboard.press('Enter');
    await viewIs(page, name);
  }
});

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
