/** How far a color is from the one aimed for, in words. The server says how it is off. */
import {state} from './state.js';

/** What the server says of two colors that nobody can tell apart. */
export const THE_SAME = 'the same';

const NEAR = 2; // CIEDE2000, as is the next
const SOME_WAY = 5;
const FAR = {near: 'nearly there: a touch', off: 'some way off:', far: 'far off:'};

/** @param {number} de00 @param {number} doubt @returns {'right'|'near'|'off'|'far'} */
export function nearness(de00, doubt) {
  if (de00 < state.boot.limits.right_de00 || de00 <= doubt) return 'right';
  if (de00 < NEAR) return 'near';
  return de00 < SOME_WAY ? 'off' : 'far';
}

/**
 * How far, in words, with how it is off: "on target", "nearly there: a touch too light".
 * @param {number} de00 @param {string} off as the server says it @param {number} [doubt] CIEDE2000 the photo can't tell apart
 */
export function farWords(de00, off, doubt = 0) {
  const near = off === THE_SAME ? 'right' : nearness(de00, doubt);
  if (near !== 'right') return `${FAR[near]} ${off}`;
  const sure = de00 < state.boot.limits.right_de00 || off === THE_SAME;
  return sure ? 'on target' : 'on target, within what this photo can tell';
}
