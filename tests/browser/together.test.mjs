// Two tabs on one book, and a server that goes away and comes back.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {onBench, openPage, shot, startBench} from './bench.mjs';
import {aimForPhoto, cupHolds, openCup, pourIt, trySample} from './hands.mjs';
import {settledReadings} from './marking-hands.mjs';

const EXPECT = [409]; // a change on an old state
const here = onBench({expect: EXPECT});
let other;

test('the sample is on the bench with one tap', () => trySample(here.view.page));

/* While there is one, the second tab hears of no change: answers to its question for news wait for it. */
let deaf = null;
let hearAgain = null;
const canBeDeaf = (page) =>
  page.route('**/api/work/*?after=*', async (route) => {
    try {
      const response = await route.fetch({timeout: 0});
      await deaf;
      await route.fulfill({response});
    } catch {
      // The server went away, or the page did: then nobody is there to be told.
      await route.abort('connectionreset').catch(() => {});
    }
  });

test('a second tab sees the same, and what the first then changes', async () => {
  const one = here.view;
  other = await openPage(here.browser, here.bench.url, {expect: EXPECT, prepare: canBeDeaf});
  await settledReadings(other.page, 3);
  await aimForPhoto(one.page);
  const added = await pourIt(one.page, 'belly');
  assert.match(added, /^\d/);
  await (await openCup(other.page, 'belly')).getByText('no drops yet').waitFor({state: 'detached'});
  assert.equal(await cupHolds(other.page, 'belly'), await cupHolds(one.page, 'belly'));
});

test('a change on an old state is refused, told, and shown as it is now', async () => {
  const one = here.view;
  const change = async (view, ounces) => {
    await (await openCup(view.page, 'back')).getByRole('button', {name: 'Change'}).click();
    await view.page.locator('.edit input[name=volume]').fill(ounces);
    await view.page.getByRole('button', {name: 'Keep'}).click();
  };
  deaf = new Promise((hear) => (hearAgain = hear));
  await change(one, '3');
  await one.page.locator('#cup-back').getByText('3 fl oz').waitFor();
  await change(other, '2');
  await other.page.getByText('Somebody else changed this meanwhile').waitFor();
  await other.page.locator('#cup-back').getByText('3 fl oz').waitFor();
  // What is aimed for came along, too.
  await (await openCup(other.page, 'middle')).locator('[data-pour=middle]').waitFor();
  await shot(other.page, 'together-1-conflict', false);
  [deaf] = [null, hearAgain()];
});

/** The page has had an answer, and no longer says that there is none. */
const isBack = async ({page}, answered) => {
  await answered;
  await page.locator('.bar.bad').getByText('does not answer').waitFor({state: 'detached'});
};

test('a server that is gone is said in words; back again, nothing is lost', async () => {
  const views = [here.view, other];
  const {page} = here.view;
  const before = await cupHolds(page, 'belly');
  const goneAndBack = async () => {
    await here.bench.halt();
    for (const view of views) await view.page.locator('.bar.bad').getByText('does not answer').waitFor();
    await shot(page, 'together-2-away', false);
    const answered = views.map((view) => view.page.waitForResponse((answer) => answer.ok()));
    here.bench = await startBench(here.bench);
    await Promise.all(views.map((view, i) => isBack(view, answered[i])));
  };
  await other.whileAway(() => here.view.whileAway(goneAndBack));
  assert.equal(await cupHolds(page, 'belly'), before);
  await page.reload();
  await settledReadings(page, 3);
  assert.equal(await cupHolds(page, 'belly'), before);
});

test('nothing was complained of but requests that failed while the server was away', () => {
  for (const view of [here.view, other]) {
    assert.deepEqual(view.errors, []);
    assert.ok(view.cut.length > 0, 'a request that nobody answers shows in the console');
  }
});
