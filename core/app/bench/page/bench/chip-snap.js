/**
 * Which chip a tap means: it lies half over black and half over white, so the line between the two goes through its
 * middle, and along it the chip ends where the white paper's own color begins. Works on a small picture around the tap;
 * what it gives is only a place to be read, which can be moved.
 */

const WINDOW = 0.24; // of the photo's longer side: a chip and what is around it
const SIDE = 240; // pixels of the small picture
const STEP_LEAST = 18; // of 255: less is no line between black and white
const APART = 8; // of 255: less from the paper is still the paper
const PAPER_SHARE = 0.12; // of a line along the row; chips may take four fifths of it
const GAP = 5; // pixels: glare may cut a chip in two
const THIRD = 1 / 3;

/** @typedef {{gray: Float32Array, rgb: Uint8ClampedArray, side: number}} Picture */

/** @param {string} id of a photo @param {{x: number, y: number, w: number, h: number}} box */
async function pictureOf(id, box) {
  const image = new Image();
  image.src = `/api/photos/${id}/crop?x=${box.x}&y=${box.y}&w=${box.w}&h=${box.h}&side=${SIDE}`;
  await image.decode();
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = SIDE;
  const drawn = canvas.getContext('2d', {willReadFrequently: true});
  drawn.drawImage(image, 0, 0, SIDE, SIDE);
  const {data} = drawn.getImageData(0, 0, SIDE, SIDE);
  const mean = (i) => (data[i] + data[i + 1] + data[i + 2]) / 3;
  const gray = Float32Array.from({length: SIDE * SIDE}, (_, i) => mean(4 * i));
  return {gray, rgb: data, side: SIDE};
}

/** The way across the strips, by the steepest steps of the picture. @param {Picture} p @returns {[number, number]} */
function acrossStrips({gray, side}) {
  let [xx, xy, yy] = [0, 0, 0];
  for (let y = 1; y < side - 1; y++)
    for (let x = 1; x < side - 1; x++) {
      const i = y * side + x;
      const [gx, gy] = [gray[i + 1] - gray[i - 1], gray[i + side] - gray[i - side]];
      const weight = (gx * gx + gy * gy) ** 1.5; // the strips' own edge is the steepest
      const size = Math.hypot(gx, gy) || 1;
      xx += (weight * gx * gx) / size ** 2;
      xy += (weight * gx * gy) / size ** 2;
      yy += (weight * gy * gy) / size ** 2;
    }
  const angle = Math.atan2(2 * xy, xx - yy) / 2;
  return [Math.cos(angle), Math.sin(angle)];
}

const at = (p, x, y) => {
  const [i, j] = [Math.round(x), Math.round(y)];
  return i < 0 || j < 0 || i >= p.side || j >= p.side ? -1 : j * p.side + i;
};

/** Mean gray of each line across the strips, by its distance from the tap. */
function meansAcross(p, from, across) {
  const half = Math.floor(p.side / 2);
  const along = [-across[1], across[0]];
  return Array.from({length: 2 * half}, (_, k) => {
    let [sum, n] = [0, 0];
    for (let u = -half; u < half; u += 2) {
      const t = k - half;
      const i = at(p, from[0] + t * across[0] + u * along[0], from[1] + t * across[1] + u * along[1]);
      if (i < 0) continue;
      sum += p.gray[i];
      n += 1;
    }
    return n > half / 2 ? sum / n : NaN;
  });
}

/** The line nearest to the tap at which black meets white. @returns {?{away: number, lighter: 1|-1}} */
function meeting(means) {
  const half = means.length / 2;
  const steps = means.map((_, k) => (k < 3 || k > means.length - 4 ? 0 : means[k + 3] - means[k - 3]));
  const steepest = (k, step) => steps.slice(Math.max(0, k - 4), k + 5).every((s) => Math.abs(s) <= Math.abs(step));
  const peaks = steps
    .map((step, k) => ({k, step}))
    .filter(({k, step}) => Math.abs(step) >= STEP_LEAST && steepest(k, step));
  if (peaks.length === 0) return null;
  const best = peaks.reduce((a, b) => (Math.abs(b.k - half) < Math.abs(a.k - half) ? b : a));
  return {away: best.k - half, lighter: best.step > 0 ? 1 : -1};
}

const colorAt = (p, i) => [p.rgb[4 * i], p.rgb[4 * i + 1], p.rgb[4 * i + 2]];
const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];

/** How far each place along a line over white is from the paper: the lightest there, which shows between chips. */
function awayFromPaper(p, middle, along) {
  const half = Math.floor(p.side / 2);
  const place = (k) => at(p, middle[0] + (k - half) * along[0], middle[1] + (k - half) * along[1]);
  const places = Array.from({length: 2 * half}, (_, k) => place(k));
  const seen = places.filter((i) => i >= 0).sort((i, j) => p.gray[j] - p.gray[i]);
  if (seen.length < half / 2) return places.map(() => 0);
  const paper = seen.slice(0, Math.ceil(seen.length * PAPER_SHARE)).map((i) => colorAt(p, i));
  const own = [0, 1, 2].map((k) => median(paper.map((c) => c[k])));
  return places.map((i) => (i < 0 ? 0 : Math.max(...colorAt(p, i).map((v, k) => Math.abs(v - own[k])))));
}

/** From where to where the chip reaches along the line, around the tap; null: it has no end there. */
function reach(chip) {
  const half = chip.length / 2;
  const start = [0, 1, -1, 2, -2, 4, -4, 7, -7, 11, -11].map((d) => half + d).find((k) => chip[k]);
  if (start === undefined) return null;
  const end = (way) => {
    let last = start;
    for (let k = start; k >= 0 && k < chip.length && Math.abs(k - last) <= GAP; k += way) if (chip[k]) last = k;
    return last;
  };
  const [low, high] = [end(-1), end(1)];
  return low < 3 || high > chip.length - 4 ? null : [low - half, high - half];
}

/** Middle and radius of the chip in the small picture. */
function chipIn(p, from) {
  const across = acrossStrips(p);
  const along = [-across[1], across[0]];
  const line = meeting(meansAcross(p, from, across));
  if (!line) return null;
  const on = (t) => [from[0] + t * across[0], from[1] + t * across[1]];
  const off = 0.04 * p.side;
  const ends = reach(awayFromPaper(p, on(line.away + line.lighter * off), along).map((v) => v > APART));
  const middle = ends ? (ends[0] + ends[1]) / 2 : 0;
  const [x, y] = on(line.away);
  return {
    middle: [x + middle * along[0], y + middle * along[1]],
    radius: ends ? Math.hypot((ends[1] - ends[0]) / 2, off) : null,
    white: across.map((v) => v * line.lighter),
  };
}

const circle = ([x, y], r) => ({kind: 'ellipse', cx: x, cy: y, rx: r, ry: r});

/** Whether the picture is light around the tap: what a chip that lies over one backing only lies over. */
function overOne(p) {
  const rim = Array.from({length: p.side}, (_, i) => p.gray[i]);
  const m = median(rim);
  return m > 150 ? 'white' : m < 80 ? 'black' : 'gray';
}

/**
 * @param {{id: string, width: number, height: number}} photo @param {[number, number]} tap photo pixels
 * @param {?number} usual radius of the chips so far, photo pixels
 * @returns {Promise<{radius: ?number, parts: Array<{over: string, shape: *}>}>} per backing a circle, a third of the
 *   chip wide; the radius of the chip where it was seen
 */
export async function snapChip(photo, tap, usual) {
  const w = Math.min(photo.width, photo.height, Math.round(WINDOW * Math.max(photo.width, photo.height)));
  const box = {
    x: Math.min(Math.max(0, Math.round(tap[0] - w / 2)), photo.width - w),
    y: Math.min(Math.max(0, Math.round(tap[1] - w / 2)), photo.height - w),
    w,
    h: w,
  };
  const scale = w / SIDE;
  const p = await pictureOf(photo.id, box);
  const found = chipIn(p, [(tap[0] - box.x) / scale, (tap[1] - box.y) / scale]);
  const seen = found?.radius ? found.radius * scale : null;
  const odd = seen && usual && Math.abs(seen - usual) > 0.3 * usual;
  const radius = seen && !odd ? seen : (usual ?? 0.035 * photo.width);
  if (!found) return {radius: null, parts: [{over: overOne(p), shape: circle(tap, radius * THIRD)}]};
  const middle = found.middle.map((v, k) => v * scale + (k ? box.y : box.x));
  const part = (way) => circle(middle.map((v, k) => v + (way * found.white[k] * radius) / 2), radius * THIRD);
  return {
    radius: odd ? null : seen,
    parts: [
      {over: 'black', shape: part(-1)},
      {over: 'white', shape: part(1)},
    ],
  };
}
