// The same work on a phone 360 px wide, by touch.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {onBench, sample, shot} from './bench.mjs';
import {aimForPhoto, cupHolds, makePattern, pourIt, viewIs} from './hands.mjs';
import {choosePhoto, CRAWFISH, markCrawfish, onScreen, unfound} from './marking-hands.mjs';

const here = onBench({phone: true, expect: [422]});

const TARGET_PX = 44;

/** Things to tap that are smaller than a finger; text links within a sentence and hidden inputs are no targets. */
const tooSmall = (page) =>
  page.evaluate(
    (least) =>
      [...document.querySelectorAll('button, a, input, select, summary')]
        .filter((node) => {
          if (node.closest('.stage') || node.matches('.unseen, .skip, [type=checkbox], [type=radio]'))
            return false;
          const box = node.getBoundingClientRect();
          return box.width > 0 && (box.height < least - 0.5 || box.width < least - 0.5);
        })
        .map(
          (node) =>
            `${node.outerHTML.slice(0, 80)} ${Math.round(node.getBoundingClientRect().width)}x${Math.round(node.getBoundingClientRect().height)}`,
        ),
    TARGET_PX,
  );

async function fitsAndTaps(page, name) {
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  assert.ok(wide <= 360, `${name} is ${wide} px wide`);
  assert.deepEqual(await tooSmall(page), [], name);
}

test('a photo is marked and aimed for', async () => {
  const {page} = here.view;
  await fitsAndTaps(page, 'empty book');
  await makePattern(page, 'creek crawfish');
  await choosePhoto(page, await unfound(page));
  await markCrawfish(page);
  await shot(page, 'phone-1-marked', false);
  await aimForPhoto(page);
  await fitsAndTaps(page, 'mix');
  await shot(page, 'phone-2-advice');
});

test('two fingers zoom, and the page still scrolls over the photo', async () => {
  const {page} = here.view;
  await page.evaluate(() => document.querySelector('#main').scrollTo(0, 0));
  const at = await onScreen(page);
  const [x, y] = at([700, 800]);
  const session = await page.context().newCDPSession(page);
  const touch = (type, points) =>
    session.send('Input.dispatchTouchEvent', {
      type,
      touchPoints: points.map(([px, py], id) => ({x: px, y: py, id})),
    });
  await touch('touchStart', [
    [x - 20, y],
    [x + 20, y],
  ]);
  for (let i = 1; i <= 5; i++)
    await touch('touchMove', [
      [x - 20 - 8 * i, y],
      [x + 20 + 8 * i, y],
    ]);
  await touch('touchEnd', []);
  const scaleIs = (least, most) =>
    page.waitForFunction(
      ([low, high]) => {
        const scale = new DOMMatrix(document.querySelector('.plate').style.transform).a;
        return scale > low && scale < high;
      },
      [least, most],
    );
  const whole = (await page.locator('.stage').boundingBox()).width / CRAWFISH.size[0];
  await scaleIs(1.5 * whole, Infinity);
  await shot(page, 'phone-3-zoomed', false);
  await page.getByRole('button', {name: 'Whole photo'}).tap();
  await scaleIs(0, 1.1 * whole);
});

test('one cup is poured, and every view fits the hand', async () => {
  const {page} = here.view;
  await pourIt(page, 'middle');
  assert.doesNotMatch(await cupHolds(page, 'middle'), /no drops yet/);
  await page.getByRole('button', {name: 'Change what is in the middle cup'}).tap();
  await page.locator('.edit').waitFor();
  await fitsAndTaps(page, 'cup being changed');
  await shot(page, 'phone-4-change');
  for (const name of ['Targets', 'Batches', 'Bottles', 'Plan', 'Settings']) {
    await page.getByRole('link', {name}).tap();
    await viewIs(page, name.toLowerCase());
    await fitsAndTaps(page, name);
    await shot(page, `phone-5-${name.toLowerCase()}`);
  }
});

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
