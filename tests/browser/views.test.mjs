// The views beside the bench: what is typed into them is in the book, and what the book has is shown.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {onBench} from './bench.mjs';
import {aimForPhoto, trySample, viewIs} from './hands.mjs';
import {openAll} from './screens.mjs';

const here = onBench();
const P = 'creek crawfish';

const told = (...words) => JSON.parse(here.bench.command(...words, '--json'));
const noted = (page, words) => page.locator('#notes').getByText(words).waitFor();

async function goTo(page, view) {
  await page.goto(`${here.bench.url}#${view}`);
  await viewIs(page, view);
  await openAll(page);
}

test('a target by numbers, and the earlier one again', async () => {
  const {page} = here.view;
  await trySample(page);
  await aimForPhoto(page);
  const back = () => told('pattern', 'show', P).layers[0];
  const before = back().target;
  await goTo(page, 'targets');
  const row = page.locator('.target').first();
  for (const [label, value] of [['L*', '40'], ['a*', '5'], ['b*', '20']]) await row.getByLabel(label).fill(value);
  await row.getByRole('button', {name: 'Aim for these numbers'}).click();
  await row.locator('.past li').nth(1).waitFor();
  assert.deepEqual(back().target, [40, 5, 20]);
  assert.match(await row.locator('.past li').first().textContent(), /^\w+ \d+, \d{4}/);
  await row.getByRole('button', {name: 'Aim for it again'}).first().click();
  await row.locator('.past li').nth(2).waitFor();
  assert.deepEqual(back().target, before);
});

test('how see-through a layer is to be', async () => {
  const {page} = here.view;
  await page.locator('.target').nth(2).getByLabel('It is to be').selectOption('cloudy');
  await noted(page, 'Noted.');
  assert.equal(told('pattern', 'show', P).layers[2].see_through, 0.65);
});

test('a bottle of one\u2019s own: put on the shelf, changed, a new lot of it', async () => {
  const {page} = here.view;
  await goTo(page, 'bottles');
  const form = page.locator('form').last();
  await form.getByLabel('Name').fill('Rust Red');
  await form.getByLabel('It is a').selectOption('brown');
  assert.equal(await form.getByLabel('One drop, ml').inputValue(), '0.05');
  await form.getByRole('button', {name: 'Put it on the shelf'}).click();
  await noted(page, 'Rust Red stands on the shelf.');
  await openAll(page);
  const card = page.locator('.bottle').filter({hasText: 'Rust Red'});
  await card.getByText('No chips yet').waitFor();
  await card.getByLabel('One drop, ml').fill('0.04');
  await card.getByRole('button', {name: 'Keep'}).click();
  await card.getByText('One drop: 0.04 ml').waitFor();
  await card.getByLabel('A new lot of it').fill('May');
  await card.getByRole('button', {name: 'Begin the lot'}).click();
  await noted(page, 'A new lot');
  const rust = told('bottle', 'list').bottles.find((bottle) => bottle.id === 'rust-red');
  assert.deepEqual([rust.title, rust.role, rust.drop_ml, rust.lot.name], ['Rust Red', 'brown', 0.04, 'May']);
});

test('settings go to the book, and the page goes by them', async () => {
  const {page} = here.view;
  await goTo(page, 'settings');
  const saved = () => page.waitForResponse((answer) => answer.request().method() === 'PATCH' && answer.ok());
  let answer = saved();
  await page.getByLabel('Measured in').selectOption('ml and \u00b0C');
  await answer;
  answer = saved();
  await page.getByLabel('Clear base in a fresh cup, ml').fill('90');
  await page.getByLabel('Clear base in a fresh cup, ml').press('Tab');
  await answer;
  const {settings} = told('settings');
  assert.deepEqual([settings.units, parseFloat(settings.volume)], ['metric', 90]);
});

test('nothing was complained of in the console', () => assert.deepEqual(here.view.errors, []));
