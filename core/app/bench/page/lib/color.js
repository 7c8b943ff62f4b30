/** CIELAB (D50) on a screen. Figures come from the server; this only paints. */

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
