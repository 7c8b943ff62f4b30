// What a person does on a photo: chooses, marks and drags, each step ended by what he then sees.
import {readFileSync} from 'node:fs';
import {sample} from './bench.mjs';

/** What of crawfish-2 stays clear of stripes: one bait, and the card. x, y, width, height */
const CLEAR = [
  [300, 170, 440, 250],
  [950, 280, 390, 460],
];

/**
 * A photo in which nothing is found: crawfish-2 as a mirror shows it (a mirrored card is never accepted unasked), on
 * a board with stripes. The bait may lie elsewhere by `shift` pixels.
 * @param {Object} page any page; its browser draws
 */
export async function unfound(page, shift = [0, 0]) {
  const bytes = readFileSync(sample('crawfish-2.jpg')).toString('base64');
  const text = await page.evaluate(
    async ([base64, boxes, [dx, dy]]) => {
      const image = new Image();
      image.src = `data:image/jpeg;base64,${base64}`;
      await image.decode();
      const canvas = document.createElement('canvas');
      [canvas.width, canvas.height] = [image.naturalWidth, image.naturalHeight];
      const drawn = canvas.getContext('2d');
      drawn.setTransform(-1, 0, 0, 1, canvas.width, 0);
      for (let x = 0; x < canvas.width; x += 36) {
        drawn.fillStyle = x % 72 ? '#2d5a2a' : '#d9d2b0';
        drawn.fillRect(x, 0, 36, canvas.height);
      }
      boxes.forEach(([x, y, w, h], i) =>
        drawn.drawImage(image, x, y, w, h, i ? x : x - dx, i ? y : y + dy, w, h),
      );
      return canvas.toDataURL('image/jpeg', 0.95).split(',')[1];
    },
    [bytes, CLEAR, shift],
  );
  return {name: 'mirrored.jpg', mimeType: 'image/jpeg', buffer: Buffer.from(text, 'base64')};
}

/** Ends when the photo lies on the bench as the server has it; it may be the same as the one before. */
export async function choosePhoto(page, file) {
  const laid = page.waitForResponse((answer) => {
    const asked = answer.request();
    return asked.method() === 'PATCH' && asked.postDataJSON()?.photo && answer.ok();
  });
  await page.locator('.photo .file-button:not(.take) input').setInputFiles(file);
  await laid;
  await page.locator('.stage .base[src^="/api/photos/"]').waitFor();
  await page.locator('.marks').waitFor();
}

/** Where a photo pixel is on the screen. */
export async function onScreen(page) {
  await page.locator('.stage').scrollIntoViewIfNeeded();
  const box = await page.locator('.stage').boundingBox();
  const [scale, left, top] = await page.locator('.plate').evaluate((node) => {
    const {a, e, f} = new DOMMatrix(node.style.transform);
    return [a, e, f];
  });
  return ([x, y]) => [box.x + left + x * scale, box.y + top + y * scale];
}

export async function drag(page, from, to) {
  await page.mouse.move(...from);
  await page.mouse.down();
  for (let i = 1; i <= 4; i++)
    await page.mouse.move(from[0] + ((to[0] - from[0]) * i) / 4, from[1] + ((to[1] - from[1]) * i) / 4);
  await page.mouse.up();
}

/* The photo of `unfound` as a person would mark it: corner patches of its card, and a box well inside each layer. */
export const CRAWFISH = {
  size: [1400, 1000],
  corners: [
    [131, 349],
    [172, 705],
    [377, 671],
    [333, 314],
  ],
  boxes: {
    back: [
      [840, 228],
      [953, 252],
    ],
    middle: [
      [844, 281],
      [959, 306],
    ],
    belly: [
      [849, 333],
      [964, 356],
    ],
  },
};

/** How many layers are read as they are marked now; in full, not while a finger is on its way. */
const readNow = async () => {
  const {state} = await import('/app/bench/state.js');
  const {settledReading} = await import('/app/bench/reading.js');
  return state.marks.layers.filter(
    (l) => settledReading(l) && state.readings[l.name].reading?.on_board !== undefined,
  ).length;
};

export async function settledReadings(page, n) {
  while ((await page.evaluate(readNow)) !== n) await page.waitForTimeout(20);
}

const marksSaved = async () => {
  const {state} = await import('/app/bench/state.js');
  return JSON.stringify(state.work.marks) === JSON.stringify(state.marks);
};

/** The server has the marks as they are drawn. Asked anew each time: not every version of the driver waits for a promise. */
export async function savedMarks(page) {
  while (!(await page.evaluate(marksSaved))) await page.waitForTimeout(20);
}

/** Marks the card by tapping three of its corners, and each layer by a drag. */
export async function markCrawfish(page) {
  await page.locator('.mark[data-id=card].chosen').waitFor(); // by itself: it is the first that is missing
  for (const corner of CRAWFISH.corners.slice(0, 3)) {
    const at = await onScreen(page);
    await page.mouse.click(...at(corner));
  }
  await page.locator('.mark[data-id=card] .tick.has').waitFor();
  for (const [layer, box] of Object.entries(CRAWFISH.boxes)) {
    const at = await onScreen(page);
    await drag(page, at(box[0]), at(box[1]));
    await page.locator(`.mark[data-id="layer:${layer}"] .tick.has`).waitFor();
  }
  await settledReadings(page, 3);
}
