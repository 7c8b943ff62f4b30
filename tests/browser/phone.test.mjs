// The same work on a phone 360 px wide, by touch.
import assert from 'node:assert/strict';
import {after, before, test} from 'node:test';
import {
  choosePhoto,
  makePattern,
  markCrawfish,
  onScreen,
  openPage,
  sample,
  shot,
  startBench,
  startBrowser,
  CRAWFISH,
} from './bench.mjs';

let bench;
let browser;
let view;
before(async () => {
  bench = await startBench();
  browser = await startBrowser();
  view = await openPage(browser, bench.url, {phone: true, expect: [422]});
});
after(async () => {
  await browser?.close();
  await bench?.stop();
});

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
  const {page} = view;
  await fitsAndTaps(page, 'empty book');
  await makePattern(page, 'creek crawfish');
  await choosePhoto(page, sample('crawfish-2.jpg'));
  await page.locator('.marks').waitFor();
  await markCrawfish(page);
  await shot(page, 'phone-1-marked', false);
  await page.locator('[data-next=targets]').tap();
  await page.locator('[data-pour=middle]').first().waitFor();
  await fitsAndTaps(page, 'mix');
  await shot(page, 'phone-2-advice');
});

test('two fingers zoom, and the page still scrolls over the photo', async () => {
  const {page} = view;
  await page.evaluate(() => window.scrollTo(0, 0));
  const at = await onScreen(page, ...CRAWFISH.size);
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
  const scale = () => page.locator('.plate').evaluate((node) => new DOMMatrix(node.style.transform).a);
  const zoomed = await scale();
  await shot(page, 'phone-3-zoomed', false);
  await page.getByRole('button', {name: 'Whole photo'}).tap();
  assert.ok(zoomed > 1.5 * (await scale()), `${zoomed}`);
});

test('one cup is poured, and every view fits the hand', async () => {
  const {page} = view;
  await page.locator('[data-pour=middle]').first().tap();
  await page.waitForFunction(
    () => !/no drops yet/.test(document.querySelector('#cup-middle .has').textContent),
  );
  await page.locator('#cup-middle .inline').first().tap();
  await page.locator('.edit').waitFor();
  await fitsAndTaps(page, 'cup being changed');
  await shot(page, 'phone-4-change');
  for (const name of ['Targets', 'Batches', 'Bottles', 'Sheet']) {
    await page.getByRole('link', {name}).tap();
    await page.locator('#main section').first().waitFor();
    await page.waitForTimeout(200);
    await fitsAndTaps(page, name);
    await shot(page, `phone-5-${name.toLowerCase()}`);
  }
});

test('nothing was complained of in the console', () => assert.deepEqual(view.errors, []));
