// How soon the page is painted, and how much of it comes over the wire, uncompressed, before it is at rest:
//   node tests/speed/bench_page.mjs DROPWISE PLUGINS   (npm ci in tests/browser first)
// Wanted: under 500 ms, and under 300 KiB without photos.
import {openPage, startBench, startBrowser} from '../browser/bench.mjs';

const TRIES = 9;
const [dropwise, plugins] = process.argv.slice(2);
Object.assign(process.env, {DROPWISE_PROGRAM: dropwise, DROPWISE_PLUGINS: plugins});

const firstPaint = (page) =>
  page.evaluate(
    () =>
      new Promise((done) => {
        const take = (list) => {
          const [paint] = list.getEntriesByName('first-contentful-paint');
          if (paint) done(paint.startTime);
        };
        new PerformanceObserver(take).observe({type: 'paint', buffered: true});
      }),
  );

const bench = await startBench();
const browser = await startBrowser();
const took = [];
const bytes = new Map();
for (let i = 0; i < TRIES; i++) {
  const count = async (page) =>
    page.on('response', async (answer) => {
      if (new URL(answer.url()).pathname.startsWith('/api/photos')) return;
      bytes.set(answer.url(), (await answer.body().catch(() => Buffer.alloc(0))).length);
    });
  const view = await openPage(browser, bench.url, {prepare: count});
  took.push(await firstPaint(view.page));
  await view.page.locator('[data-do=sample]').waitFor();
  await view.close();
}
took.sort((one, other) => one - other);
const weight = [...bytes.values()].reduce((sum, n) => sum + n, 0);
console.log(`first contentful paint: median ${took[TRIES >> 1].toFixed(0)} ms, worst ${took.at(-1).toFixed(0)} ms of ${TRIES}`);
console.log(`page weight: ${(weight / 1024).toFixed(0)} KiB in ${bytes.size} files`);
await browser.close();
await bench.stop();
