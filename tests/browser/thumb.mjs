// A thumb that counts: every tap, and every drag as one. Real touches, as a phone sends them.
import {onScreen} from './marking-hands.mjs';

export async function thumbOn(page) {
  const session = await page.context().newCDPSession(page);
  const touch = (type, points) =>
    session.send('Input.dispatchTouchEvent', {type, touchPoints: points.map(([x, y]) => ({x, y}))});
  const thumb = {
    count: 0,
    /** A control, found as a person would find it; it must be in view. */
    async tap(locator) {
      thumb.count += 1;
      await locator.tap();
    },
    /** A place in the photo. */
    async point(place) {
      thumb.count += 1;
      const at = (await onScreen(page))(place);
      await touch('touchStart', [at]);
      await touch('touchEnd', []);
    },
    async drag(from, to) {
      thumb.count += 1;
      const on = await onScreen(page);
      const [a, b] = [on(from), on(to)];
      await touch('touchStart', [a]);
      const between = (share) => [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share];
      for (const share of [0.25, 0.5, 0.75, 1]) await touch('touchMove', [between(share)]);
      await touch('touchEnd', []);
    },
    /** What was counted, from here on anew. */
    take() {
      const {count} = thumb;
      thumb.count = 0;
      return count;
    },
  };
  return thumb;
}
