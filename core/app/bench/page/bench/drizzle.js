/** The photo at hand shows drops of the cups on a white table, not a bait: one tap reads them into the cups. */
import {ApiError, post} from '../lib/api.js';
import {change, state, tellNote} from './state.js';
import {hasDrops} from './advice.js';
import {drawMarks, explain, inTurn, reloadBoot} from './work.js';

/** Whether what the photo says is in a cup already. */
export const readHere = () => state.work.cups.some((cup) => cup.read.some((r) => r.photo === state.work.photo));

/** Whether the photo at hand may be of drops: there is something in the cups, and nothing of it was read yet. */
export const mayBeDrops = () => Boolean(state.work.photo) && state.work.cups.some(hasDrops) && !readHere();

/** Drops that lie in another order than the cups, while nobody said so. @returns {?string[]} */
export const otherOrder = () => (state.drizzle?.photo === state.work?.photo ? (state.drizzle?.order ?? null) : null);

const TOLD = 'The cups now have the colors that their drops tell.';

function said({drops}) {
  const left = drops.filter((drop) => drop.verdict !== 'told');
  return left.length ? `${TOLD} Not told: ${left.map((drop) => `${drop.name} (${drop.words})`).join(' ')}` : TOLD;
}

function failed(error) {
  const order = error instanceof ApiError ? error.body?.drizzle?.looks_like : null;
  change({drizzle: order?.length ? {photo: state.work.photo, order} : null});
  if (!order?.length) explain(error); // else the next step asks
}

/** @param {?string[]} order whose drops lie where, where that is not the order of the cups */
export async function readDrops(order = null) {
  let drizzle = null;
  change({busy: 'drizzled', note: null});
  const done = await inTurn(async () => {
    const {seen, cups_seen: cups, id} = state.work;
    const work = await post(`/api/work/${id}/drizzled`, {seen, cups_seen: cups, ...(order && {order: order.join(',')})});
    drizzle = work.drizzle;
    return work;
  }, failed);
  change({busy: ''});
  if (!done) return;
  change({full: false, drizzle: null, selected: null});
  // Marks of the photo before lie on no bait here.
  if (state.marks.layers.length) drawMarks({...state.marks, layers: [], carried: undefined}, true);
  tellNote(said(drizzle), {undo: true});
  await reloadBoot();
}

/** The cups' own order, though the drops look like another. */
export const keepOrder = () => readDrops(state.work.cups.map((cup) => cup.layer));
