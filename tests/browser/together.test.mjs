// Two tabs on one book, and a server that goes away and comes back.
import assert from 'node:assert/strict';
import {after, before, test} from 'node:test';
import {openPage, settledReadings, shot, startBench, startBrowser} from './bench.mjs';

let bench;
let browser;
let one;
let other;
before(async () => {
  bench = await startBench();
  browser = await startBrowser();
  one = await openPage(browser, bench.url, {expect: [409]});
});
after(async () => {
  await browser?.close();
  await bench?.stop();
});

test('the sample is on the bench with one tap', async () => {
  await one.page.locator('[data-do=sample]').click();
  await settledReadings(one.page, 3);
});

/* While true, the second tab hears of no change: its question waits before it is sent. */
let deaf = false;
const canBeDeaf = (page) =>
  page.route('**/api/work/*?after=*', async (route) => {
    while (deaf) await new Promise((later) => setTimeout(later, 100));
    await route.continue().catch(() => {});
  });

test('a second tab sees the same, and what the first then changes', async () => {
  other = await openPage(browser, bench.url, {expect: [409], prepare: canBeDeaf});
  await settledReadings(other.page, 3);
  await one.page.locator('[data-next=targets]').click();
  await one.page.locator('[data-pour=belly]').first().waitFor();
  deaf = true; // from the next question on; the one under way still brings the pour
  await one.page.locator('[data-pour=belly]').first().click();
  await other.page.waitForFunction(
    () => !/no drops yet/.test(document.querySelector('#cup-belly .has').textContent),
  );
});

test('a change on an old state is refused, told, and shown as it is now', async () => {
  const change = async (view, ounces) => {
    await view.page.locator('#cup-back .inline').first().click();
    await view.page.locator('.edit input[name=volume]').fill(ounces);
    await view.page.getByRole('button', {name: 'Keep'}).click();
  };
  await change(one, '3');
  await one.page.locator('#cup-back').getByText('in 3 fl oz').waitFor();
  await change(other, '2');
  await other.page.getByText('Somebody else changed this meanwhile').waitFor();
  await other.page.locator('#cup-back').getByText('in 3 fl oz').waitFor();
  // What is aimed for came along, too.
  await other.page.locator('[data-pour=middle]').first().waitFor();
  await shot(other.page, 'together-1-conflict', false);
  deaf = false;
});

test('a server that is gone is said in words; back again, nothing is lost', async () => {
  const {page} = one;
  const before = await page.locator('#cup-belly .has').textContent();
  await bench.halt();
  await page.locator('.bar.bad').first().waitFor();
  await shot(page, 'together-2-away', false);
  bench = await startBench(bench);
  await page.locator('.bar.bad').first().waitFor({state: 'detached'});
  assert.equal(await page.locator('#cup-belly .has').textContent(), before);
  await page.reload();
  await settledReadings(page, 3);
  assert.equal(await page.locator('#cup-belly .has').textContent(), before);
});

test('nothing was complained of in the console but the requests that were cut off', () => {
  for (const view of [one, other])
    assert.deepEqual(
      view.errors.filter((text) => !/ERR_(CONNECTION_\w+|EMPTY_RESPONSE|FAILED|ABORTED)/.test(text)),
      [],
    );
});
