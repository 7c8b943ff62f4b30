// axe-core on every screen, light and dark: no serious and no critical finding.
import assert from 'node:assert/strict';
import {createRequire} from 'node:module';
import {readFileSync} from 'node:fs';
import {test} from 'node:test';
import {onBench, openPage, shot} from './bench.mjs';
import {aimForPhoto, settledReadings, trySample, viewIs} from './hands.mjs';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const here = onBench(null);

/** What axe finds that keeps somebody out. Its code runs beside the page's own, which the page's policy would refuse. */
async function findings(page) {
  await page.evaluate(axe);
  const result = await page.evaluate(() =>
    window.axe.run(document, {
      resultTypes: ['violations'],
      runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
    }),
  );
  return result.violations
    .filter((v) => v.impact === 'serious' || v.impact === 'critical')
    .map(
      (v) =>
        `${v.id}: ${v.nodes
          .map((n) => `${n.target.join(' ')} (${n.any[0]?.message ?? ''})`)
          .slice(0, 4)
          .join('; ')}`,
    );
}

async function look(page, name) {
  const found = await findings(page);
  assert.deepEqual(found, [], name);
}

for (const dark of [false, true]) {
  const mode = dark ? 'dark' : 'light';
  test(`every screen in ${mode}`, async () => {
    const {page, errors, close} = await openPage(here.browser, here.bench.url, {dark});
    if (!dark) {
      await page.locator('[data-do=sample]').waitFor();
      await look(page, 'empty book');
      await trySample(page);
      await aimForPhoto(page);
    }
    await page.locator('[data-pour=belly]').first().waitFor();
    await settledReadings(page, 3);
    await page.locator('.mark[data-id=card]').click();
    await page.getByLabel('Pixels set aside').check();
    await look(page, `mix, ${mode}`);
    await page.locator('.mark[data-id="layer:belly"]').click();
    await page.locator('#cup-belly .inline').first().click();
    await page.locator('.edit').waitFor();
    await look(page, `mix, a cup being changed, ${mode}`);
    await shot(page, `access-mix-${mode}`);
    for (const view of ['targets', 'batches', 'bottles', 'bottles/chips', 'sheet']) {
      await page.goto(`${here.bench.url}#${view}`);
      await viewIs(page, view);
      await page.evaluate(() => document.querySelectorAll('details').forEach((node) => (node.open = true)));
      await look(page, `${view}, ${mode}`);
      await shot(page, `access-${view.replace('/', '-')}-${mode}`);
    }
    await page.locator('.title').click();
    await look(page, `what lies on the bench, ${mode}`);
    await shot(page, `access-chooser-${mode}`, false);
    assert.deepEqual(errors, []);
    await close();
  });
}
