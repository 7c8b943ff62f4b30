/** Small pieces of text: drops, volumes, times. */

const ML_PER_FLOZ = 29.5735;

/** Up to two decimals, no trailing zeros. @param {number} v */
export const tidy = (v) => String(Math.round(v * 100) / 100);

/** @param {number} floz @param {string} units */
export function volume(floz, units) {
  return units === 'metric' ? `${Math.round(floz * ML_PER_FLOZ)} ml` : `${tidy(floz)} fl oz`;
}

/** A number of fluid ounces as the person's unit, and back. */
export const toUnit = (floz, units) =>
  units === 'metric' ? Math.round(floz * ML_PER_FLOZ) : Math.round(floz * 100) / 100;
export const fromUnit = (v, units) => (units === 'metric' ? v / ML_PER_FLOZ : v);
export const unitName = (units) => (units === 'metric' ? 'ml' : 'fl oz');

/** Degrees Fahrenheit as the person's, and back. */
export const toDegrees = (f, units) => Math.round(units === 'metric' ? (f - 32) / 1.8 : f);
export const fromDegrees = (v, units) => (units === 'metric' ? 1.8 * v + 32 : v);
export const degreeName = (units) => (units === 'metric' ? '\u00b0C' : '\u00b0F');

/** ["orange 12", "brown 2"] @param {Object<string, number>} drops */
export function dropsParts(drops) {
  return Object.entries(drops)
    .filter(([, n]) => n > 0)
    .map(([id, n]) => `${id} ${tidy(n)}`);
}
export const dropsText = (drops) => dropsParts(drops).join(', ') || 'clear base, no drops yet';

/** Whether clear base is to be added, more than a rounding. */
export const addsClear = (advice) => (advice.add_clear_floz ?? 0) > 0.001;

/** ["3 brown", "1 orange", "0.5 fl oz clear base"]; empty when nothing is to add. */
export function addParts(advice, units) {
  const parts = Object.entries(advice.add ?? {})
    .filter(([, n]) => n > 0)
    .map(([id, n]) => `${tidy(n)} ${id}`);
  if (addsClear(advice)) parts.push(`${volume(advice.add_clear_floz, units)} clear base`);
  return parts;
}
export const addText = (advice, units) => addParts(advice, units).join(', ');

/** What an entry of the book says, without its figures of a color: the color itself is seen. */
export const entryWords = (text) => text.replace(/(?: as)? -?[\d.]+(?:,-?[\d.]+){2}/g, '');

export const sentence = (text) =>
  text ? text[0].toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? '' : '.') : '';
export const capital = (text) => (text ? text[0].toUpperCase() + text.slice(1) : '');

/** @param {string} when ISO 8601 */
export function day(when) {
  const date = new Date(when);
  return Number.isNaN(date.getTime())
    ? when
    : date.toLocaleDateString('en-US', {month: 'short', day: 'numeric', year: 'numeric'});
}
export function clock(when) {
  const date = new Date(when);
  return Number.isNaN(date.getTime())
    ? when
    : date.toLocaleTimeString('en-US', {hour: 'numeric', minute: '2-digit'});
}

/** A difference to a tenth; the server's two decimals end in a 5 that counts. @param {number} de00 */
export const tenth = (de00) => (Math.round(10 * de00 + 1e-6) / 10).toFixed(1);

export const percent = (share) => `${Math.round(100 * share)}%`;
export const plural = (n, one, many = one + 's') => `${n} ${n === 1 ? one : many}`;
