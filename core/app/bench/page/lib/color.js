/** CIELAB (D50) on a screen, and in words. Figures come from the server; these only paint and say. */

/** @typedef {[number, number, number]} Lab */

const WHITE = [0.9642, 1, 0.8249];

function xyzFromLab([L, a, b]) {
  const y = (L + 16) / 116;
  return [y + a / 500, y, y - b / 200].map(
    (t, i) => WHITE[i] * (t > 6 / 29 ? t ** 3 : 3 * (6 / 29) ** 2 * (t - 4 / 29)),
  );
}

/* XYZ D50 to linear sRGB, Bradford-adapted, as in the ICC sRGB profile. */
function linearFromXyz([x, y, z]) {
  return [
    3.1341359 * x - 1.6172206 * y - 0.490686 * z,
    -0.9787684 * x + 1.9161415 * y + 0.033454 * z,
    0.0719453 * x - 0.2289914 * y + 1.4052427 * z,
  ];
}

const encode = (v) => (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055);
const inGamut = (rgb) => rgb.every((v) => v >= -0.0005 && v <= 1.0005);

/**
 * The nearest the screen can do: chroma is lowered at the same lightness and hue until it fits.
 * @param {Lab} lab
 * @returns {string} "#rrggbb"
 */
export function cssColor(lab) {
  const at = (share) =>
    linearFromXyz(xyzFromLab([Math.min(100, Math.max(0, lab[0])), lab[1] * share, lab[2] * share]));
  let low = 0;
  let high = 1;
  if (inGamut(at(1))) low = 1;
  else
    for (let i = 0; i < 16; i++)
      inGamut(at((low + high) / 2)) ? (low = (low + high) / 2) : (high = (low + high) / 2);
  const parts = at(low).map((v) => Math.round(255 * Math.min(1, Math.max(0, encode(Math.max(0, v))))));
  return '#' + parts.map((v) => v.toString(16).padStart(2, '0')).join('');
}

const HUES = [
  [35, 'red'],
  [65, 'orange'],
  [97, 'yellow'],
  [145, 'green'],
  [265, 'blue'],
  [318, 'purple'],
  [395, 'red'],
];

function hueAhead(h, turn) {
  const target = (((h + turn * 30) % 360) + 360) % 360;
  return HUES.reduce((best, row) => (Math.abs(row[0] - target) < Math.abs(best[0] - target) ? row : best))[1];
}

/**
 * What is wrong with `now`, seen from the target: "too light and too bright", "too green". Names the parts that
 * weigh; "" when none does.
 * @param {Lab} now @param {Lab} target
 */
export function offWords(now, target) {
  const chroma = (lab) => Math.hypot(lab[1], lab[2]);
  const meanChroma = (chroma(now) + chroma(target)) / 2;
  const dl = now[0] - target[0];
  const dc = (chroma(now) - chroma(target)) / (1 + 0.045 * meanChroma);
  const gap = Math.hypot(now[1] - target[1], now[2] - target[2]);
  const dh =
    Math.sqrt(Math.max(0, gap ** 2 - (chroma(now) - chroma(target)) ** 2)) / (1 + 0.015 * meanChroma);
  const turn = Math.sign(target[1] * now[2] - target[2] * now[1]) || 1;
  const hue = (Math.atan2(target[2], target[1]) * 180) / Math.PI;
  const parts = [
    [Math.abs(dl), dl > 0 ? 'too light' : 'too dark'],
    [Math.abs(dc), dc > 0 ? 'too bright' : 'too dull'],
    [dh, `too ${hueAhead(hue, turn)}`],
  ].sort((one, other) => other[0] - one[0]);
  const whole = Math.hypot(...parts.map((p) => p[0]));
  if (whole < 0.3) return '';
  return parts
    .filter((p, i) => i === 0 || p[0] > whole / 2.5)
    .slice(0, 2)
    .map((p) => p[1])
    .join(' and ');
}

const RIGHT = 0.8; // CIEDE2000, as are the next
const NEAR = 2;
const SOME_WAY = 5;
const FAR = {near: 'nearly there: a touch', off: 'some way off:', far: 'far off:'};

/** @param {number} de00 @param {number} doubt @returns {'right'|'near'|'off'|'far'} */
export function nearness(de00, doubt) {
  if (de00 < RIGHT || de00 <= doubt) return 'right';
  if (de00 < NEAR) return 'near';
  return de00 < SOME_WAY ? 'off' : 'far';
}

/**
 * How far, in words, with how it is off: "on target", "nearly there: a touch too light".
 * @param {number} de00 @param {Lab} now @param {Lab} target @param {number} [doubt] CIEDE2000 the photo can't tell apart
 */
export function farWords(de00, now, target, doubt = 0) {
  const off = offWords(now, target);
  const near = off === '' ? 'right' : nearness(de00, doubt);
  if (near === 'right') return de00 < RIGHT || off === '' ? 'on target' : 'on target, within what this photo can tell';
  return `${FAR[near]} ${off}`;
}
