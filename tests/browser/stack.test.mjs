// Drops tapped off, what goes wrong on the way, and the end of a batch.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {onBench, openPage, sample, startBench} from './bench.mjs';
import {aimForPhoto, cupHolds, openCup, trySample} from './hands.mjs';
import {settledReadings} from './marking-hands.mjs';

const EXPECT = [409];
const here = onBench({expect: EXPECT});

const pressed = (cup) => cup.locator('[data-drop][aria-pressed=true]').count();
const firstBottle = async (cup) => (await cup.locator('[data-all-in]').first().getAttribute('data-all-in'));
const dropOf = (cup, bottle, n) => cup.locator(`[data-drop="${bottle} ${n}"]`);
const additions = (page, layer) =>
  page.evaluate(async (name) => {
    const answer = await fetch('/api/state');
    return (await answer.json()).work.cups.find((cup) => cup.layer === name).log.length;
  }, layer);

test('tapping a drop marks all before it; the last one tapped again is not in', async () => {
  const {page} = here.view;
  await trySample(page);
  await aimForPhoto(page);
  const cup = await openCup(page, 'back');
  const bottle = await firstBottle(cup);
  await dropOf(cup, bottle, 4).click();
  assert.equal(await pressed(cup), 4);
  await dropOf(cup, bottle, 4).click();
  assert.equal(await pressed(cup), 3);
  await page.locator('#next').getByText(/Count the drops into the back cup: 3 of \d+ in/).waitFor();
});

test('a count survives a reload, and all in is one tap', async () => {
  const {page} = here.view;
  await page.reload();
  await settledReadings(page, 3);
  await page.locator('[data-layer=back]').getByText(/^3 of \d+ in/).waitFor();
  const cup = await openCup(page, 'back');
  assert.equal(await pressed(cup), 3);
  const bottle = await firstBottle(cup);
  const all = await cup.locator(`[data-drop^="${bottle} "]`).count();
  await cup.locator(`[data-all-in="${bottle}"]`).click();
  assert.equal(await cup.locator(`[data-drop^="${bottle} "][aria-pressed=true]`).count(), all);
});

test('what is in so far is logged, and nothing that is not', async () => {
  const {page} = here.view;
  const cup = await openCup(page, 'back');
  const bottle = await firstBottle(cup);
  await dropOf(cup, bottle, 2).click();
  await cup.locator('[data-pour-part]').click();
  await page.locator('#notes').getByText(`Logged: 2 ${bottle} into the back cup`).waitFor();
  assert.equal((await cupHolds(page, 'back')).toLowerCase().trim(), `${bottle} 2 in 4 fl oz`);
  const undo = page.locator('#header [data-do=undo]');
  assert.match(await undo.textContent(), new RegExp(`Undo: 2 drops of ${bottle} into the back`));
  await undo.click();
  await page.locator('#notes').getByText(`Taken back: 2 drops of ${bottle} into the back`).waitFor();
  assert.match(await page.locator('#header [data-do=redo]').textContent(), new RegExp(`Redo: 2 drops of ${bottle}`));
});

test('by keys: up and down among the layers, a drop, and on to the next cup', async () => {
  const {page} = here.view;
  await page.locator('[data-layer=back]').focus();
  await page.keyboard.press('ArrowDown');
  const middle = page.locator('#cup-middle');
  await middle.waitFor();
  const bottle = await firstBottle(middle);
  await dropOf(middle, bottle, 1).focus();
  await page.keyboard.press('Space');
  assert.equal(await pressed(middle), 1);
  await page.keyboard.press('Space');
  await middle.locator('[data-pour=middle]').focus();
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement?.dataset.layer === 'belly');
});

test('another way is chosen, shown beside the target, and counted', async () => {
  const {page} = here.view;
  const cup = await openCup(page, 'belly');
  const before = await cup.locator('.add').first().textContent();
  await cup.locator('.ways summary').click();
  const wanted = await cup.locator('.way .add').first().textContent();
  await cup.getByRole('button', {name: 'Do this instead'}).first().click();
  await page.waitForFunction((old) => document.querySelector('#cup-belly .add').textContent !== old, before);
  assert.equal(await cup.locator('.add').first().textContent(), wanted);
});

test('a photo on its way can be canceled', async () => {
  const {page} = here.view;
  const held = [];
  await page.route('**/api/photos', (route) => held.push(route));
  await page.locator('.photo .file-button:not(.take) input').setInputFiles(sample('crawfish-2.jpg'));
  await page.locator('[data-do=cancel-upload]').click();
  await page.getByText('The photo was not sent').waitFor();
  await page.unroute('**/api/photos');
  for (const route of held) await route.abort().catch(() => {});
  await page.locator('.stage .base[src^="/api/photos/"]').waitFor();
});

test('a pour while the bench is away is kept, and logged once when it is back; a second device sees it', async () => {
  const {page} = here.view;
  const other = await openPage(here.browser, here.bench.url, {expect: EXPECT});
  await settledReadings(other.page, 3);
  const before = await additions(page, 'back');
  const cup = await openCup(page, 'back');
  const bottles = await cup.locator('[data-all-in]').count();
  const goneAndBack = async () => {
    await here.bench.halt();
    await page.locator('#alerts').getByText('does not answer').waitFor();
    await cup.locator('[data-pour=back]').click();
    await page.locator('#notes').getByText(/^Kept until the bench answers: .* into the back cup/).waitFor();
    await (await openCup(page, 'back')).getByText('kept on this device').waitFor();
    assert.equal(await page.locator('#cup-back [data-pour]').count(), 0, 'nothing to pour it twice with');
    here.bench = await startBench(here.bench);
    await page.locator('#notes').getByText(/^Logged: .* into the back cup/).waitFor();
    await other.page.locator('#alerts').getByText('does not answer').waitFor({state: 'detached'});
  };
  await other.whileAway(() => here.view.whileAway(goneAndBack));
  assert.equal(await additions(page, 'back'), before + bottles);
  await (await openCup(other.page, 'back')).getByText('no drops yet').waitFor({state: 'detached'});
  assert.equal(await cupHolds(other.page, 'back'), await cupHolds(page, 'back'));
  assert.deepEqual(other.errors, []);
  await other.close();
});

test('a pour whose answer was lost is not logged again', async () => {
  const {page} = here.view;
  const before = await additions(page, 'belly');
  const cup = await openCup(page, 'belly');
  const bottles = await cup.locator('[data-all-in]').count();
  let first = true;
  await page.route('**/pour', async (route) => {
    if (!first) return route.continue();
    first = false;
    await route.fetch();
    return route.abort('connectionreset');
  });
  await here.view.whileAway(async () => {
    await cup.locator('[data-pour=belly]').click();
    await page.locator('#notes').getByText(/^Logged: .* into the belly cup/).waitFor();
  });
  await page.unroute('**/pour');
  assert.equal(await additions(page, 'belly'), before + bottles);
  assert.equal(await page.evaluate(() => localStorage.getItem('dropwise.kept')), null);
});

test('another change while the bench is away is said not to be done', async () => {
  const {page} = here.view;
  await here.view.whileAway(async () => {
    await page.route('**/api/work/*/cup', (route) => route.abort('connectionrefused'));
    await (await openCup(page, 'middle')).getByRole('button', {name: 'Change'}).click();
    await page.locator('.edit input[name=volume]').fill('3');
    await page.getByRole('button', {name: 'Keep'}).click();
    await page.locator('#alerts').getByText('this was not done').waitFor();
    await page.unroute('**/api/work/*/cup');
  });
  await page.locator('#alerts').getByRole('button', {name: 'Close'}).click();
});

test('every layer right: the batch is closed, and its next cups are empty', async () => {
  const {page} = here.view;
  await page.locator('[data-do=measured]').click();
  await page.getByRole('heading', {name: 'Every layer is right'}).waitFor();
  await page.locator('[data-next=finish]').click();
  await page.getByRole('button', {name: 'Done, it is good'}).click();
  await page.getByText('The batch is closed and called good').waitFor();
  await page.locator('.title').getByText('batch 2').waitFor();
  assert.match(await cupHolds(page, 'back'), /no drops yet/);
});

test('the code of a printed sheet brings its batch back', async () => {
  const {page} = here.view;
  await page.goto(new URL('/#batch/1', page.url()).href);
  await page.getByRole('heading', {name: /^Batch 1, /}).waitFor();
  assert.match(await page.locator('#view-title').innerText(), /^Batches of /);
  await page.goto(new URL('/#mix', page.url()).href);
});

test('settings hold, and a copy of the book is saved', async () => {
  const {page} = here.view;
  await page.goto(`${here.bench.url}#settings`);
  const volume = page.getByLabel(/^Clear base in a fresh cup/);
  await volume.fill('3');
  await volume.blur();
  await page.locator('#notes').getByText('Kept.').waitFor();
  await page.reload();
  await page.waitForFunction(() => document.querySelector('.fields input[type=number]')?.value === '3');
  const saved = page.waitForEvent('download');
  await page.getByRole('link', {name: 'Save a copy'}).click();
  assert.equal((await saved).suggestedFilename(), 'dropwise-book.db');
  await page.getByText(/^Creek crawfish laid on the bench/).waitFor();
});

test('nothing was complained of but what was cut off on purpose', () => assert.deepEqual(here.view.errors, []));
