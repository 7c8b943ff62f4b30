// What every browser test needs: the program on an empty book, a browser, and the page watched for errors.
import {execFileSync, spawn} from 'node:child_process';
import {mkdtempSync, rmSync} from 'node:fs';
import {after, before} from 'node:test';
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
/* How long anything may take before it is called missing. Nothing waits so long unless something is wrong. */
const PATIENCE_MS = 60000;

export const sample = (name) => fileURLToPath(new URL(`../../samples/${name}`, import.meta.url));

/**
 * Starts the bench on a book of its own, or on the book and at the port of one that was halted. `command` is the command
 * line on the same book, and gives what it prints.
 * @param {{folder?: string, port?: string}} [again]
 * @returns {Promise<{url: string, folder: string, port: string, command: (...words: string[]) => string, halt: () => Promise<void>, stop: () => Promise<void>}>}
 */
export function startBench(again = {}) {
  const folder = again.folder ?? mkdtempSync(path.join(tmpdir(), 'dropwise-browser-'));
  const book = path.join(folder, 'book.db');
  const child = spawn(
    process.env.DROPWISE_PROGRAM,
    [
      'bench',
      '--port',
      again.port ?? '0',
      '--book',
      book,
      '--plugins',
      process.env.DROPWISE_PLUGINS,
    ],
    {stdio: ['ignore', 'pipe', 'pipe']},
  );
  const command = (...words) =>
    execFileSync(process.env.DROPWISE_PROGRAM, [...words, '--book', book], {encoding: 'utf8'});
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
    const timer = setTimeout(() => reject(new Error(`the bench said no address: ${text}`)), PATIENCE_MS);
    const fail = (why) => {
      clearTimeout(timer);
      reject(new Error(`the bench did not start: ${why} ${text}`));
    };
    const read = (bytes) => {
      text += bytes;
      const url = text.match(/http:\/\/[^\s/]+\//)?.[0];
      if (!url) return;
      clearTimeout(timer);
      resolve({url, folder, port: new URL(url).port, command, halt, stop});
    };
    child.stdout.on('data', read);
    child.stderr.on('data', read);
    child.once('error', (error) => fail(error.message));
    child.once('exit', (code) => fail(`it ended with ${code}.`));
  });
}

/** A browser of one's own, or the one that run.mjs keeps for all tests. */
export async function startBrowser() {
  const {chromium} = await import('playwright-core');
  const at = process.env.DROPWISE_BROWSER;
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
const CUT_OFF = /^Failed to load resource: net::ERR_\w+$/;

/**
 * What the page complains of. `errors` is what nobody expected; the notices of answers that a test asks for (`expect`,
 * HTTP statuses) are none. While the server is away on purpose, any request may fail in whatever way the browser names
 * it: these go to `cut` instead, and only these, only then.
 */
function watch(page, expect) {
  const kept = {errors: [], cut: [], away: false};
  page.on('pageerror', (error) => kept.errors.push(error.stack));
  page.on('console', (message) => {
    const text = message.text();
    const status = Number(text.match(/status of (\d+)/)?.[1]);
    if (!['error', 'warning'].includes(message.type()) || expect.includes(status)) return;
    (kept.away && CUT_OFF.test(text) ? kept.cut : kept.errors).push(text);
  });
  return kept;
}

/**
 * A page whose console is kept.
 * @param {Object} browser
 * @param {{phone?: boolean, dark?: boolean, expect?: number[], prepare?: (page: Object) => Promise<void>}} how
 * @returns {Promise<{page: Object, errors: string[], cut: string[], whileAway: Function, close: () => Promise<void>}>}
 */
export async function openPage(browser, url, {phone = false, dark = false, expect = [], prepare} = {}) {
  const context = await browser.newContext({
    ...(phone ? PHONE : DESKTOP),
    colorScheme: dark ? 'dark' : 'light',
  });
  const page = await context.newPage();
  page.setDefaultTimeout(PATIENCE_MS);
  const kept = watch(page, expect);
  /** From before the server goes until `run`, which brings the page together with a server again, is over. */
  const whileAway = async (run) => {
    kept.away = true;
    await run();
    await page.evaluate(() => null); // what the page complained of until now has come by the same way
    kept.away = false;
  };
  await prepare?.(page);
  await page.goto(url);
  return {page, errors: kept.errors, cut: kept.cut, whileAway, close: () => context.close()};
}

/**
 * For a whole file of tests: a bench on an empty book, the browser, and one page in it, as `view`.
 * @param {Object} [how] of the page, see openPage; null: no page
 */
export function onBench(how = {}) {
  const here = {bench: null, browser: null, view: null};
  before(async () => {
    here.bench = await startBench();
    here.browser = await startBrowser();
    if (how) here.view = await openPage(here.browser, here.bench.url, how);
  });
  after(async () => {
    await here.browser?.close();
    await here.bench?.stop();
  });
  return here;
}

export async function shot(page, name, whole = true) {
  await page.screenshot({path: path.join(process.env.DROPWISE_SCREENSHOTS, `${name}.png`), fullPage: whole});
}
