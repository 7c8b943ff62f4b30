// The bait, its borders, molds and the plan: what the page shows is what the commands say, to the digit.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {onBench, shot} from './bench.mjs';
import {addMold, aimForPhoto, pourIt, trySample, viewIs} from './hands.mjs';
import {openAll} from './screens.mjs';

const here = onBench();
const P = 'creek crawfish';

const command = (...words) => here.bench.command(...words);
const textOf = async (page, where) => (await page.locator(where).innerText()).replace(/\s+/g, ' ').toLowerCase();

test('before anything is poured, the bait aimed for and the one after the drops are drawn', async () => {
  const {page} = here.view;
  await trySample(page);
  await aimForPhoto(page);
  await page.locator('[data-bait=then] img').waitFor();
  assert.match(await page.locator('[data-bait=now] img').getAttribute('alt'), /^What you aim for, over a light and a dark bottom/);
});

test('the borders say what blend says', async () => {
  const {page} = here.view;
  for (const layer of ['back', 'middle', 'belly']) await pourIt(page, layer);
  const said = JSON.parse(command('blend', '--pattern', P, '--batch', '1', '--thickness', '10', '--over', 'gray', '--json'));
  const caption = said.layers.map((layer) => `${layer.name} ${layer.clearness}`).join(', ');
  await page.locator('[data-bait=now] figcaption').getByText(caption).waitFor();
  await openAll(page);
  const shown = await textOf(page, '[data-bait=now]');
  for (const {between, steps, words, even} of said.blends) {
    assert.ok(shown.includes(`${between[0]} into ${between[1]}`));
    for (const step of steps) assert.ok(shown.includes(`${100 * step.share}% ${between[1]}: ${step.words}`), shown);
    for (const line of [...words, ...(even ? [even.words] : [])]) assert.ok(shown.includes(line.toLowerCase()), line);
  }
  await shot(page, 'plan-1-borders');
});

test('a layer that drowns its neighbor is named, with what evens it', async () => {
  const {page} = here.view;
  await page.locator('[data-layer=belly]').click();
  await page.locator('#cup-belly').getByRole('button', {name: 'Change'}).click();
  for (const input of await page.locator('#cup-belly .edit input[type=number]').all()) {
    const label = await input.evaluate((node) => node.closest('label').textContent);
    if (!/fl oz/.test(label)) await input.fill(/white/i.test(label) ? '1' : '0');
  }
  await page.locator('#cup-belly .edit button[type=submit]').click();
  await page.locator('[data-bait=now] .even').waitFor();
  const said = command('blend', '--pattern', P, '--batch', '1', '--thickness', '10', '--over', 'gray');
  const even = said.match(/^> (.*)$/m)[1];
  assert.ok((await textOf(page, '[data-bait=now] .even')).includes(even.toLowerCase()), even);
  await page.locator('[data-do=undo]').click();
  await page.locator('[data-bait=now] .even').waitFor({state: 'detached'});
});

test('outline and shares are chosen once, for the picture and the plan', async () => {
  const {page} = here.view;
  await openAll(page);
  await page.locator('.over').getByLabel('Outline').selectOption('crawfish');
  await page.locator('.over summary').getByText('Drawn as a crawfish').waitFor();
  const [back, middle, belly] = await page.locator('.over .shares input').all();
  await back.fill('40');
  await middle.fill('20');
  await page.locator('.over').getByText('These add up to 106.66%').waitFor();
  await belly.fill('40');
  await belly.press('Tab');
  await page.getByText('layers 40 : 20 : 40').waitFor();
});

test('the plan says what plan says', async () => {
  const {page} = here.view;
  await page.getByRole('link', {name: 'Plan'}).click();
  await viewIs(page, 'plan');
  await addMold(page, 'craw');
  await page.getByLabel(/^Each chamber holds/).fill('2');
  await page.getByLabel(/^Each chamber holds/).press('Tab');
  await page.getByText(/The injector is loaded/).waitFor();
  const said = command('plan', P, '--batch', '1', '--mold', 'craw', '--baits', '20', '--shares', '40,20,40', '--chamber-volume', '2');
  const shown = await textOf(page, '.plan');
  for (const line of said.split('\n').map((text) => text.replace(/^[ !]+/, '').toLowerCase())) {
    const [, layer, chamber, plastic] = line.match(/^(\w+), (chamber \d): (.* of plastic)$/) ?? [];
    if (layer) assert.ok(shown.includes(`${layer} ${chamber} ${plastic}`), line);
    else if (/^\+\d|drops|baits:|loaded|chambers,|plastic:/.test(line)) assert.ok(shown.includes(line), line);
  }
  assert.match(await page.locator('.mold-drawing title').textContent(), /chambers 1 belly, 2 middle, 3 back$/);
  await shot(page, 'plan-2-desk');
  await page.setViewportSize({width: 360, height: 740});
  await shot(page, 'plan-2-phone');
  await page.setViewportSize({width: 1280, height: 800});
});

test('what cannot be poured is said first', async () => {
  const {page} = here.view;
  await page.getByLabel(/^Each chamber holds/).fill('0.1');
  await page.getByLabel(/^Each chamber holds/).press('Tab');
  await page.locator('.plan .bad').getByText('do not heat anything yet').waitFor();
});

test('a mold is changed, removed, and brought back', async () => {
  const {page} = here.view;
  await page.getByRole('button', {name: 'Change the mold craw'}).click();
  await page.locator('.mold-form').getByLabel('Cavities').fill('6');
  await page.locator('.mold-form').getByRole('button', {name: 'Keep the mold'}).click();
  await page.locator('.mold-row').getByText('6 cavities').waitFor();
  assert.equal(JSON.parse(command('mold', 'show', 'craw', '--json')).cavities, 6);
  await page.locator('.plan').getByText(/craw 4 times/).waitFor();
  await page.getByRole('button', {name: 'Remove the mold craw'}).click();
  await page.locator('.mold-row').waitFor({state: 'detached'});
  await page.locator('#notes').getByRole('button', {name: 'Undo'}).click();
  await page.locator('.mold-row').getByText('6 cavities').waitFor();
});

test('the form of one mold has nothing of what was chosen for another', async () => {
  const {page} = here.view;
  const form = page.locator('.mold-form');
  await addMold(page, 'worm');
  await page.getByRole('button', {name: 'Change the mold craw'}).click();
  await form.locator('[name=sprue]').selectOption('left');
  await page.getByRole('button', {name: 'Change the mold worm'}).click();
  assert.equal(await form.locator('[name=sprue]').inputValue(), 'away');
  await form.getByRole('button', {name: 'Leave as it was'}).click();
  await page.getByRole('button', {name: 'Remove the mold worm'}).click();
  await page.locator('.mold-row').nth(1).waitFor({state: 'detached'});
});

test('the cup sheet is one tap away, in the order of the mold', async () => {
  const {page} = here.view;
  await page.getByRole('link', {name: 'Cup sheet'}).click();
  await viewIs(page, 'sheet');
  const address = await page.getByRole('link', {name: 'Plain page'}).getAttribute('href');
  const sheet = await (await page.request.get(new URL(address, here.bench.url).href)).text();
  assert.match(sheet, /with the mold &quot;craw&quot;|with the mold "craw"/);
  assert.ok(sheet.indexOf('3 belly</text>') < sheet.indexOf('1 back</text>'));
});

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
