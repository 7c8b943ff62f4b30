// Runs the browser tests: run.mjs DROPWISE PLUGINS SCREENSHOTS SHEET DRIZZLE TURNED, the last three draw a sheet of chips, drops, and turned baits and
// swirls. Exits 77, "skipped", where something is missing.
import {spawn} from 'node:child_process';
import {existsSync, mkdirSync} from 'node:fs';
import {CHROMIUM, serveBrowser} from './bench.mjs';

const [dropwise, plugins, screenshots, sheet, drizzle, turned] = process.argv.slice(2);

function skip(why) {
  console.log(`skipped: ${why}`);
  process.exit(77);
}

for (const name of ['playwright-core', 'axe-core']) {
  try {
    await import(name);
  } catch {
    skip(`${name} is not installed (npm ci in tests/browser)`);
  }
}
if (!existsSync(CHROMIUM)) skip(`there is no ${CHROMIUM}`);

mkdirSync(screenshots, {recursive: true});
const views = ['desktop', 'phone', 'marking', 'chips', 'keys', 'together', 'stack', 'plan', 'pour', 'drizzle', 'looks', 'views', 'screens', 'access'];
const tests = views.map((name) => `${name}.test.mjs`);
const browser = await serveBrowser();
const child = spawn(process.execPath, ['--test', '--test-concurrency=1', ...tests], {
  stdio: 'inherit',
  env: {
    ...process.env,
    DROPWISE_PROGRAM: dropwise,
    DROPWISE_PLUGINS: plugins,
    DROPWISE_SCREENSHOTS: screenshots,
    DROPWISE_SHEET: sheet,
    DROPWISE_DRIZZLE: drizzle,
    DROPWISE_TURNED: turned,
    DROPWISE_BROWSER: browser.address,
  },
});
const status = await new Promise((done) => child.once('exit', done));
await browser.close();
process.exit(status ?? 1);
