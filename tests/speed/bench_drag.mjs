// How soon the reading follows a dragged region on a photo of 12 megapixels, and how soon the page is painted:
//   node tests/speed/bench_drag.mjs DROPWISE PLUGINS   (npm ci in tests/browser first)
import {readFileSync} from 'node:fs';
import {openPage, sample, startBench, startBrowser} from '../browser/bench.mjs';
import {makePattern} from '../browser/hands.mjs';
import {drag, onScreen, settledReadings} from '../browser/marking-hands.mjs';

const [WIDTH, HEIGHT] = [4000, 3000];
const MOVES = 120;
/* A box well inside the middle layer of crawfish-2. */
const MIDDLE = [
  [441, 281],
  [556, 306],
];
const [dropwise, plugins] = process.argv.slice(2);
Object.assign(process.env, {DROPWISE_PROGRAM: dropwise, DROPWISE_PLUGINS: plugins});

/** The sample photo enlarged by the browser: as many pixels as a phone's camera gives. */
async function largePhoto(page) {
  const bytes = readFileSync(sample('crawfish-2.jpg')).toString('base64');
  const text = await page.evaluate(
    async ([base64, w, h]) => {
      const image = new Image();
      image.src = `data:image/jpeg;base64,${base64}`;
      await image.decode();
      const canvas = document.createElement('canvas');
      [canvas.width, canvas.height] = [w, h];
      canvas.getContext('2d').drawImage(image, 0, 0, w, h);
      return canvas.toDataURL('image/jpeg', 0.9).split(',')[1];
    },
    [bytes, WIDTH, HEIGHT],
  );
  return Buffer.from(text, 'base64');
}

const scaled = ([x, y]) => [(x * WIDTH) / 1400, (y * HEIGHT) / 1000];

/** From a move of the mouse to the reading that belongs to it being on the screen, ms. */
async function latencies(page, at, box) {
  await page.evaluate(() => {
    window.took = [];
    let moved = 0;
    document.addEventListener('pointermove', () => (moved = performance.now()), true);
    new MutationObserver((list) => {
      const settled = list.some(
        ({target, oldValue}) => oldValue?.includes('moving') && !target.className.includes('moving'),
      );
      if (settled) window.took.push(performance.now() - moved);
    }).observe(document.querySelector('.readings'), {
      attributes: true,
      attributeFilter: ['class'],
      attributeOldValue: true,
      subtree: true,
    });
  });
  const [x, y] = at([(box[0][0] + box[1][0]) / 2, (box[0][1] + box[1][1]) / 2]);
  await page.mouse.move(x, y);
  await page.mouse.down();
  for (let i = 0; i < MOVES; i++) {
    const before = await page.evaluate(() => window.took.length);
    await page.mouse.move(x + (i % 20) + 1, y + (i % 5));
    await page.waitForFunction((n) => window.took.length > n, before, {timeout: 5000}).catch(() => {});
  }
  await page.mouse.up();
  return page.evaluate(() => window.took);
}

const bench = await startBench();
const browser = await startBrowser();
try {
  const {page} = await openPage(browser, bench.url);
  const paint = await page.evaluate(
    () => performance.getEntriesByName('first-contentful-paint')[0]?.startTime,
  );
  const photo = await largePhoto(page);
  await makePattern(page, 'creek crawfish');
  await page
    .locator('.photo .file-button:not(.take) input')
    .setInputFiles({name: 'large.jpg', mimeType: 'image/jpeg', buffer: photo});
  await settledReadings(page, 3); // card and layers are found
  const box = MIDDLE.map(scaled);
  await page.locator('.mark[data-id="layer:middle"]').click();
  await page.getByRole('button', {name: 'Draw anew'}).click();
  const at = await onScreen(page);
  await drag(page, at(box[0]), at(box[1]));
  await settledReadings(page, 3);
  const took = (await latencies(page, await onScreen(page), box)).sort((x, y) => x - y);
  const at_ = (share) => Math.round(took[Math.min(took.length - 1, Math.floor(share * took.length))]);
  console.log(`first contentful paint ${Math.round(paint)} ms`);
  console.log(
    `region of ${Math.round(box[1][0] - box[0][0])} x ${Math.round(box[1][1] - box[0][1])} px dragged on ${WIDTH} x ${HEIGHT}: ${took.length} readings, median ${at_(0.5)} ms, 95th percentile ${at_(0.95)} ms, worst ${at_(1)} ms`,
  );
} finally {
  await browser.close();
  await bench.stop();
}
