/**
 * Drops as they are counted into a cup. The count stays on this device, and belongs to one cup as it is and to one
 * proposal: once either is another, it begins anew.
 */
import {recall, remember} from '../lib/memory.js';
import {addsClear} from '../lib/words.js';
import {change, state} from './state.js';

const CLEAR = ' clear base'; // no bottle's name begins with a space

const countOf = (cup, proposal) =>
  JSON.stringify([state.work.id, cup.seen, proposal.add, proposal.add_clear_floz ?? 0]);

function counts(cup, proposal) {
  state.counts ??= recall('counts', {});
  const kept = state.counts[cup.layer];
  return kept?.of === countOf(cup, proposal) ? kept.drops : {};
}

function keep(cup, proposal, drops) {
  const next = {...state.counts, [cup.layer]: {of: countOf(cup, proposal), drops}};
  remember('counts', next);
  change({counts: next});
}

/** What is to be counted: [bottle, drops] of a proposal. @param {Object} proposal */
export const toCount = (proposal) => Object.entries(proposal.add ?? {}).filter(([, n]) => n > 0);

/** How many drops of a bottle are in; the last may be a half one. @returns {number} */
export const countedOf = (cup, proposal, bottle) => counts(cup, proposal)[bottle] ?? 0;
export const clearIsIn = (cup, proposal) => Boolean(counts(cup, proposal)[CLEAR]);

/** Marks drop `n` and all before it; the last marked one tapped again is unmarked. */
export function tapDrop(cup, proposal, bottle, n) {
  const before = countedOf(cup, proposal, bottle);
  keep(cup, proposal, {...counts(cup, proposal), [bottle]: before === n ? Math.ceil(n) - 1 : n});
}

export function allIn(cup, proposal, bottle) {
  keep(cup, proposal, {...counts(cup, proposal), [bottle]: proposal.add[bottle]});
}

export function tapClear(cup, proposal) {
  const now = counts(cup, proposal);
  keep(cup, proposal, {...now, [CLEAR]: !now[CLEAR]});
}

/** @returns {{drops: number, of: number, part: Object<string, number>, none: boolean, all: boolean}} part: as a pour has it */
export function progress(cup, proposal) {
  const wanted = toCount(proposal);
  const add = Object.fromEntries(
    wanted.map(([id]) => [id, countedOf(cup, proposal, id)]).filter(([, n]) => n > 0),
  );
  const clear = addsClear(proposal);
  const clearIn = clear && clearIsIn(cup, proposal);
  const sum = (list) => list.reduce((total, [, n]) => total + n, 0);
  const [drops, of] = [sum(Object.entries(add)), sum(wanted)];
  return {
    drops,
    of,
    part: {add, add_clear_floz: clearIn ? proposal.add_clear_floz : 0},
    none: drops === 0 && !clearIn,
    all: drops === of && clear === clearIn,
  };
}
