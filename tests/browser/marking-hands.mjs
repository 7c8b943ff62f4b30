// What a person does on a photo: chooses, marks and drags, each step ended by what he then sees.

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

/** Where a photo pixel is on the screen while the whole photo is seen. */
export async function onScreen(page, width, height) {
  await page.locator('.stage').scrollIntoViewIfNeeded();
  const box = await page.locator('.stage').boundingBox();
  const scale = Math.min(box.width / width, box.height / height);
  const left = box.x + (box.width - width * scale) / 2;
  const top = box.y + (box.height - height * scale) / 2;
  return ([x, y]) => [left + x * scale, top + y * scale];
}

export async function drag(page, from, to) {
  await page.mouse.move(...from);
  await page.mouse.down();
  for (let i = 1; i <= 4; i++)
    await page.mouse.move(from[0] + ((to[0] - from[0]) * i) / 4, from[1] + ((to[1] - from[1]) * i) / 4);
  await page.mouse.up();
}

/* crawfish-2 as a person would mark it: corner patches of its card, and a box well inside each layer. */
export const CRAWFISH = {
  size: [1400, 1000],
  corners: [
    [1269, 349],
    [1228, 705],
    [1023, 671],
    [1067, 314],
  ],
  boxes: {
    back: [
      [447, 228],
      [560, 252],
    ],
    middle: [
      [441, 281],
      [556, 306],
    ],
    belly: [
      [436, 333],
      [551, 356],
    ],
  },
};

export const settledReadings = (page, n) =>
  page.waitForFunction(
    (count) =>
      document.querySelectorAll('.reading .figures').length === count &&
      !document.querySelector('.reading.moving'),
    n,
  );

const marksSaved = async () => {
  const {state} = await import('/app/bench/state.js');
  return JSON.stringify(state.work.marks) === JSON.stringify(state.marks);
};

/** The server has the marks as they are drawn. Asked anew each time: not every version of the driver waits for a promise. */
export async function savedMarks(page) {
  while (!(await page.evaluate(marksSaved))) await page.waitForTimeout(20);
}

/** Marks the card by tapping its corners, and each layer by a drag. */
export async function markCrawfish(page) {
  await page.locator('.mark[data-id=card]').click();
  for (const corner of CRAWFISH.corners) {
    const at = await onScreen(page, ...CRAWFISH.size);
    await page.mouse.click(...at(corner));
  }
  await page.getByText(/^Light: card of 24 patches/).waitFor();
  for (const [layer, box] of Object.entries(CRAWFISH.boxes)) {
    const at = await onScreen(page, ...CRAWFISH.size);
    await drag(page, at(box[0]), at(box[1]));
    await page.locator(`.mark[data-id="layer:${layer}"] .tick.has`).waitFor();
  }
  await settledReadings(page, 3);
}
