// Around the pour: how hot the cups are, the natural tone of a layer, and what became of the batch.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {onBench, shot} from './bench.mjs';
import {aimForPhoto, pourIt, trySample, viewIs} from './hands.mjs';
import {faultsOf, openAll, painted, SIZES} from './screens.mjs';

const here = onBench();
const P = 'creek crawfish';

const command = (...words) => here.bench.command(...words);

test('how hot a cup is takes one tap, once one was noted', async () => {
  const {page} = here.view;
  await trySample(page);
  await aimForPhoto(page);
  for (const layer of ['back', 'middle', 'belly']) await pourIt(page, layer);
  await page.locator('.heat summary').click();
  await page.getByLabel('Back, \u00b0F').fill('340');
  await page.locator('[data-heat=back]').click();
  await page.locator('.heat').getByText('minute 0: 340').waitFor();
  assert.equal(await page.getByLabel('Belly, \u00b0F').inputValue(), '340');
  await page.locator('[data-heat=belly]').click();
  await page.locator('.heat li').nth(2).getByText('minute 0: 340').waitFor();
  await page.getByRole('button', {name: 'Reheated: the middle cup'}).click();
  await page.locator('.heat li').nth(1).getByText('minute 0: reheated').waitFor();
  const {notes} = JSON.parse(command('heat', P, '1', '--json'));
  assert.deepEqual(
    notes.map((n) => [n.layer, n.temperature_f, n.reheat]).sort(),
    [['back', 340, false], ['belly', 340, false], ['middle', null, true]],
  );
  await openAll(page);
  for (const [size, viewport] of Object.entries(SIZES)) {
    await page.setViewportSize(viewport);
    await painted(page);
    assert.deepEqual((await faultsOf(page)).filter((fault) => !fault.includes('for the work')), [], size);
  }
  await page.setViewportSize(SIZES.desk);
});

test('what became of the batch is said when it is closed', async () => {
  const {page} = here.view;
  await page.locator('[data-do=measured]').first().click();
  await page.getByText('The cups now have the colors').waitFor();
  await page.locator('[data-good=yes]').click();
  const done = page.locator('.done');
  await done.getByText('Batch 1 is done, and good').waitFor();
  await done.getByText(/^Next time/).first().waitFor();
  assert.equal(await done.locator('.finished-cup').count(), 3);
  assert.equal(await done.getByText(/^Measured .*, doubt \d/).count(), 3);
  await shot(page, 'pour-1-done');
  await page.locator('[data-do=put-away]').click();
  await done.waitFor({state: 'detached'});
});

test('a layer is held to a natural tone of the book', async () => {
  const {page} = here.view;
  command('tone', 'samples');
  await page.goto(`${here.bench.url}#targets`);
  await page.reload();
  await viewIs(page, 'targets');
  await openAll(page);
  await page.locator('.target').first().getByLabel('Its natural tone').selectOption('sample: crawfish belly');
  await page.locator('#notes').getByText('Noted.').waitFor();
  assert.equal(JSON.parse(command('pattern', 'show', P, '--json')).layers[0].tone, 'sample: crawfish belly');
});

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
