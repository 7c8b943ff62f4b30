// What every browser test needs: the program on an empty book, a browser, and the page watched for errors.
import {spawn} from 'node:child_process';
import {mkdtempSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {fileURLToPath} from 'node:url';
import path from 'node:path';

export const CHROMIUM = '/usr/bin/chromium';
const ARGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];
const START_MS = 20000;

export const sample = (name) => fileURLToPath(new URL(`../../samples/${name}`, import.meta.url));

/**
 * Starts the bench on a book of its own, or on the book and at the port of one that was halted.
 * @param {{folder?: string, port?: string}} [again]
 * @returns {Promise<{url: string, folder: string, port: string, halt: () => Promise<void>, stop: () => Promise<void>}>}
 */
export function startBench(again = {}) {
  const folder = again.folder ?? mkdtempSync(path.join(tmpdir(), 'pourtone-browser-'));
  const child = spawn(
    process.env.PT_POURTONE,
    [
      'bench',
      '--port',
      again.port ?? '0',
      '--book',
      path.join(folder, 'book.db'),
      '--plugins',
      process.env.PT_PLUGINS,
    ],
    {stdio: ['ignore', 'pipe', 'pipe']},
  );
  const halt = () =>
    new Promise((done) => {
      child.once('exit', done);
      child.kill('SIGTERM');
    });
  const stop = async () => {
    if (child.exitCode === null && child.signalCode === null) await halt();
    rmSync(folder, {recursive: true, force: true});
  };
  return new Promise((resolve, reject) => {
    let text = '';
    const timer = setTimeout(() => reject(new Error(`the bench said no address: ${text}`)), START_MS);
    const read = (bytes) => {
      text += bytes;
      const url = text.match(/http:\/\/[^\s/]+\//)?.[0];
      if (!url) return;
      clearTimeout(timer);
      resolve({url, folder, port: new URL(url).port, halt, stop});
    };
    child.stdout.on('data', read);
    child.stderr.on('data', read);
    child.once('exit', (code) => reject(new Error(`the bench ended with ${code}: ${text}`)));
  });
}

/** A browser of one's own, or the one that run.mjs keeps for all tests. */
export async function startBrowser() {
  const {chromium} = await import('playwright-core');
  const at = process.env.PT_BROWSER;
  return at ? chromium.connect(at) : chromium.launch({executablePath: CHROMIUM, args: ARGS});
}

/** @returns {Promise<{address: string, close: () => Promise<void>}>} */
export async function serveBrowser() {
  const {chromium} = await import('playwright-core');
  const server = await chromium.launchServer({executablePath: CHROMIUM, args: ARGS});
  return {address: server.wsEndpoint(), close: () => server.close()};
}

const PHONE = {viewport: {width: 360, height: 740}, hasTouch: true, isMobile: true, deviceScaleFactor: 2};
const DESKTOP = {viewport: {width: 1280, height: 800}};

/**
 * A page whose console is kept: anything but the notices of the answers that a test expects is an error.
 * @param {Object} browser @param {{phone?: boolean, dark?: boolean, expect?: number[], prepare?: (page: Object) => Promise<void>}} how
 *   expect: HTTP statuses
 */
export async function openPage(browser, url, {phone = false, dark = false, expect = [], prepare} = {}) {
  const context = await browser.newContext({
    ...(phone ? PHONE : DESKTOP),
    colorScheme: dark ? 'dark' : 'light',
  });
  const page = await context.newPage();
  const errors = [];
  page.on('pageerror', (error) => errors.push(error.stack));
  page.on('console', (message) => {
    const status = Number(message.text().match(/status of (\d+)/)?.[1]);
    if (['error', 'warning'].includes(message.type()) && !expect.includes(status))
      errors.push(message.text());
  });
  page.setDefaultTimeout(20000);
  await prepare?.(page);
  await page.goto(url);
  return {page, errors, close: () => context.close()};
}

export async function shot(page, name, whole = true) {
  await page.screenshot({path: path.join(process.env.PT_SCREENSHOTS, `${name}.png`), fullPage: whole});
}

/* ---- what a person does */

export async function makePattern(page, name) {
  await page.getByLabel('Name of the pattern').first().fill(name);
  await page.getByRole('button', {name: 'Put it on the bench'}).first().click();
  await page.locator('.empty-stage').waitFor();
}

export async function choosePhoto(page, file) {
  await page.locator('.photo .file-button:not(.take) input').setInputFiles(file);
}

/** Where a photo pixel is on the screen while the whole photo is seen. */
export async function onScreen(page, width, height) {
  await page.locator('.stage').scrollIntoViewIfNeeded();
  const box = await page.locator('.stage').boundingBox();
  const scale = Math.min(box.width / width, box.height / height);
  const left = box.x + (box.width - width * scale) / 2;
  const top = box.y + (box.height - height * scale) / 2;
  return ([x, y]) => [left + x * scale, top + y * scale];
}

export async function drag(page, from, to) {
  await page.mouse.move(...from);
  await page.mouse.down();
  for (let i = 1; i <= 4; i++)
    await page.mouse.move(from[0] + ((to[0] - from[0]) * i) / 4, from[1] + ((to[1] - from[1]) * i) / 4);
  await page.mouse.up();
}

/* crawfish-2 as a person would mark it: corner patches of its card, and a box well inside each layer. */
export const CRAWFISH = {
  size: [1400, 1000],
  corners: [
    [1269, 349],
    [1228, 705],
    [1023, 671],
    [1067, 314],
  ],
  boxes: {
    back: [
      [447, 228],
      [560, 252],
    ],
    middle: [
      [441, 281],
      [556, 306],
    ],
    belly: [
      [436, 333],
      [551, 356],
    ],
  },
};

export const settledReadings = (page, n) =>
  page.waitForFunction(
    (count) =>
      document.querySelectorAll('.reading .figures').length === count &&
      !document.querySelector('.reading.moving'),
    n,
  );

/** Marks the card by tapping its corners, and each layer by a drag. */
export async function markCrawfish(page) {
  await page.locator('.mark[data-id=card]').click();
  for (const corner of CRAWFISH.corners) {
    const at = await onScreen(page, ...CRAWFISH.size);
    await page.mouse.click(...at(corner));
  }
  await page.getByText(/^Light: card of 24 patches/).waitFor();
  for (const [layer, box] of Object.entries(CRAWFISH.boxes)) {
    const at = await onScreen(page, ...CRAWFISH.size);
    await drag(page, at(box[0]), at(box[1]));
    await page.locator(`.mark[data-id="layer:${layer}"] .tick.has`).waitFor();
  }
  await settledReadings(page, 3);
}
