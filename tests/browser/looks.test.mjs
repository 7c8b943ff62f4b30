// Swirls, flake and a bait turned in the light: what the page shows is what the commands say, to the digit.
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {test} from 'node:test';
import path from 'node:path';
import AxeBuilder from 'axe-core';
import {onBench, openPage, sample, shot} from './bench.mjs';
import {openAll, faultsOf, huesOf, painted, SIZES} from './screens.mjs';

const here = onBench({expect: [422]}); // what a cup's drops can't give is asked about
const command = (...words) => here.bench.command(...words);
const render = (scene, kind, width) =>
  execFileSync(process.env.DROPWISE_TURNED, [here.bench.folder, scene, kind, width], {encoding: 'utf8'});
const turned = (scene, kind, i) => path.join(here.bench.folder, `turned-${scene}-${kind}-${i}.jpg`);
const plain = (text) => text.replace(/\s+/g, ' ').trim();
const PLAIN = '0';
const SHIFT = '3';
const SWIRL = '4';

/** On the bench: of the welcome, or of the list of what could lie there. */
async function makePattern(page, name, layers, swirl = false) {
  await page.locator('.welcome, #photo-title').first().waitFor();
  if (await page.locator('.welcome').isHidden()) await page.locator('.title').click();
  const form = page.locator('.welcome form.make, #chooser[open] form.make');
  await form.getByLabel('Name of the pattern').fill(name);
  await form.getByLabel('Its layers, back first').fill(layers);
  if (swirl) await form.getByLabel('A swirl').check();
  await form.getByRole('button', {name: 'Put it on the bench'}).click();
  await page.locator('.title').getByText(name, {exact: false}).waitFor();
}

/** Nothing of the screen is cut, covered, small or has a hue, at the sizes of a phone and a desk, and axe is content. */
async function looksRight(page, name) {
  for (const size of ['phone', 'desk']) {
    await page.setViewportSize(SIZES[size]);
    await openAll(page);
    await painted(page);
    assert.deepEqual(await faultsOf(page), [], `${name}, ${size}`);
    assert.deepEqual(await huesOf(page), [], `${name}, ${size}`);
    await page.locator('#main').evaluate((node) => node.scrollTo(0, 0));
    await page.locator('[data-flake]').first().scrollIntoViewIfNeeded({timeout: 100}).catch(() => {});
    await shot(page, `looks-${name}-${size}`, false);
  }
  await page.evaluate(AxeBuilder.source);
  const found = await page.evaluate(() => window.axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa']}));
  assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 120)}`), []);
}

test('a bait turned in the light: two photos chosen at once give the verdict and its figure', async () => {
  const {page} = here.view;
  for (const kind of [PLAIN, SHIFT]) render('3', kind, '640');
  await makePattern(page, 'shine', 'body');
  await page.goto(`${here.bench.url}#turn`);
  await page.locator('.file-button.choose input').setInputFiles([turned('3', SHIFT, 0), turned('3', SHIFT, 1)]);
  await page.locator('[data-layer-turned=body]').waitFor();
  const said = JSON.parse(command('turn', turned('3', SHIFT, 0), turned('3', SHIFT, 1), '--pattern', 'shine', '--json'));
  const {travel} = said.layers[0];
  assert.equal(travel.verdict, 'travels');
  const shown = plain(await page.locator('[data-layer-turned=body]').innerText());
  assert.match(shown, /Body: travels/);
  assert.ok(shown.includes(travel.words), shown);
  assert.ok((await page.locator('.gauge').getAttribute('aria-label')).includes(`by ${travel.de00.toFixed(1)}, doubt ${travel.doubt_de00.toFixed(1)}`));
  await page.locator('[data-do=aim-turn]').click();
  await page.getByText('This travel is now what you aim for.').waitFor();
  await page.locator('[data-do=keep-turn]').click();
  await page.getByText('now has this travel').waitFor();
  await page.getByText('It travels as much as the target').waitFor();
  const drift = JSON.parse(command('drift', 'shine', '--json')).layers[0].travel;
  assert.equal(drift.target.de00, travel.de00);
  assert.equal(drift.batches[0].de00, travel.de00);
  await looksRight(page, 'turned');
});

test('one photo asks for the next; a plain bait does not travel', async () => {
  const {page} = here.view;
  await page.getByRole('button', {name: 'Begin anew'}).click();
  await page.locator('.file-button.choose input').setInputFiles([turned('3', PLAIN, 0)]);
  await page.getByText('Now turn the board').waitFor();
  await page.locator('.file-button.choose input').setInputFiles([turned('3', PLAIN, 1)]);
  await page.locator('[data-layer-turned=body]').getByText('Body: does not travel').waitFor();
  await page.getByText('It travels less than the target').waitFor();
});

test('a swirl: share and color of each beside what is wanted, read into the batch', async () => {
  const {page} = here.view;
  render('4', SWIRL, '1000');
  const photo = turned('4', SWIRL, 0);
  await page.goto(`${here.bench.url}#mix`);
  await makePattern(page, 'mud', 'one, two', true);
  await page.locator('.file-button:not(.take) input').first().setInputFiles(photo);
  await page.locator('[data-swirl]').waitFor();
  await page.locator('[data-next=swirl], [data-do=aim-swirl]').first().click();
  await page.getByText('These colors are now what you aim for.').waitFor();
  command('pattern', 'swirl', 'mud', '60,40');
  command('pour', 'mud', '--layer', 'one', '--cup', 'black=4');
  await page.reload();
  await page.locator('[data-swirl] .share-bar.wanted').waitFor();
  const said = JSON.parse(command('find', photo, '--swirl', '2', '--pattern', 'mud', '--json')).swirl.colors;
  const shown = plain(await page.locator('[data-swirl]').innerText());
  for (const [i, color] of said.entries()) {
    const wanted = ['60%', '40%'][i];
    const name = ['One', 'Two'][i];
    assert.ok(shown.includes(`${name} ${Math.round(100 * color.share)}% of the bait, ${wanted} wanted`), shown);
  }
  await looksRight(page, 'swirl');
  for (const size of ['phone', 'desk']) {
    await page.setViewportSize(SIZES[size]);
    await page.locator('[data-swirl]').evaluate((node) => node.scrollIntoView({block: 'start'}));
    await shot(page, `looks-swirl-read-${size}`, false);
  }
  await page.locator('[data-swirl] [data-do=measured]').click();
  const doubts = page.getByRole('button', {name: 'Keep', exact: false});
  await page.getByText('the batch has its reading').or(doubts.first()).waitFor();
  if (await page.getByText('the batch has its reading').isHidden()) await doubts.first().click();
  await page.getByText('the batch has its reading').waitFor();
  const kept = JSON.parse(command('reading', 'list', 'mud', '--json')).readings;
  const baits = JSON.parse(command('find', photo, '--swirl', '2', '--pattern', 'mud', '--json')).baits;
  assert.equal(kept.length, 2 * baits.length);
  for (const [i, bait] of baits.entries())
    for (const color of bait.colors)
      assert.ok(kept.some((r) => r.bait === i + 1 && r.layer === color.name && r.share === color.share));
  await page.goto(`${here.bench.url}#batches`);
  await page.getByText('Too few good batches to tell for the share of the one').waitFor();
  await looksRight(page, 'swirl-batches');
  await page.goto(`${here.bench.url}#targets`);
  await page.locator('summary').getByText('A swirl of 60% and 40%').waitFor();
  await looksRight(page, 'swirl-targets');
});

test('flake: its share and color beside those of the target', async () => {
  const {page} = here.view;
  await page.goto(`${here.bench.url}#mix`);
  await makePattern(page, 'creek', 'back, middle, belly');
  await page.goto(`${here.bench.url}#turn`); // photos of the piece of work before are not this one's
  await page.getByText('Choose the photos').waitFor();
  assert.equal(await page.locator('.turned-photo').count(), 0);
  await page.goto(`${here.bench.url}#mix`);
  await openAll(page);
  await page.locator('[data-sample=crawfish-1]').click();
  await page.locator('[data-do=targets]').first().waitFor();
  await page.locator('[data-do=targets]').first().click();
  await page.getByText('These colors are now what you aim for.').waitFor();
  await page.reload();
  await page.locator('[data-flake]').first().waitFor();
  await page.getByText('as much as the target').first().waitFor();
  assert.match(plain(await page.locator('[data-flake]').first().innerText()), /^Flake \d+%, as much as the target\u2019?'?s \d+%/);
  await looksRight(page, 'flake');
});

test('in the dark, too', async () => {
  const view = await openPage(here.browser, here.bench.url, {dark: true});
  const {page} = view;
  await page.locator('.title').waitFor();
  await page.locator('[data-flake]').first().waitFor();
  await looksRight(page, 'flake-dark');
  await page.goto(`${here.bench.url}#turn`);
  await page.locator('.file-button.choose input').setInputFiles([turned('3', SHIFT, 0)]);
  await page.getByText('Now turn the board').waitFor();
  await looksRight(page, 'turn-dark');
  assert.deepEqual(view.errors, []);
  await view.close();
  assert.deepEqual(here.view.errors, []);
});
