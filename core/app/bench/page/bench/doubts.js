/** Readings that do not look like the bait's are asked about before they become a target or go into the cups. */
import {ApiError, post} from '../lib/api.js';
import {change, pattern, state, tellNote} from './state.js';
import {foundHere, layersOf} from './marks.js';
import {targetsFromPhoto} from './patterns.js';
import {explain, inTurn, reloadBoot} from './work.js';

/** @param {string[]} names of layers */
const boardDoubts = (names) =>
  names
    .map((layer) => ({layer, words: state.readings[layer]?.reading?.doubt}))
    .filter(({words}) => words);

/** The baits found in this photo, the one at hand as it is marked now. */
function allBaits() {
  const {baits, bait: chosen} = foundHere();
  return baits.map((bait, i) => (i === chosen ? state.marks.layers : layersOf(bait)));
}

async function send(how, ask) {
  let list = null;
  const failed = (error) => {
    list = error instanceof ApiError ? (error.body?.doubts ?? null) : null;
    if (!list) explain(error);
  };
  change({busy: 'measured', doubts: null});
  const done = await inTurn(
    () =>
      post(`/api/work/${state.work.id}/measured`, {
        seen: state.work.seen,
        cups_seen: state.work.cups_seen,
        ask,
        ...(how === 'all' && {baits: allBaits()}),
      }),
    failed,
  );
  change({busy: '', doubts: list && {use: how, list}});
  if (!done) return;
  change({full: false});
  tellNote('The cups now have the colors of this photo, and the batch has its reading.', {undo: true});
  await reloadBoot();
}

async function aim(names, ask) {
  const list = ask ? boardDoubts(names) : [];
  change({doubts: list.length ? {use: 'aim', list} : null});
  if (list.length) return;
  if (await targetsFromPhoto(pattern().id, names)) change({full: false});
}

/** Layers that the photo at hand gives a color of, as the cups stand. */
export const readLayers = () => state.work.cups.map((cup) => cup.layer).filter((name) => state.readings[name]?.reading);

/** The marked layers of the photo become what the cups are. */
export const readIntoCups = () => send('one', true);
/** Every bait that was found, each as one bait of the batch. */
export const readAllIntoCups = () => send('all', true);
export const aimForThese = () => aim(readLayers(), true);

/** What was asked about is kept as it is. */
export const keepDoubted = () =>
  state.doubts.use === 'aim' ? aim(readLayers(), false) : send(state.doubts.use, false);
export const leaveDoubted = () => change({doubts: null});
