/** Card, baits and layers that the server finds in a photo, as marks. */
import {ApiError, post} from '../lib/api.js';
import {parseShape, shapeText, thinned} from '../lib/shape.js';
import {capital} from '../lib/words.js';
import {asking} from './asking.js';
import {change, listen, state, swirled} from './state.js';
import {carried, foundHere, layersOf} from './marks.js';
import {drawMarks} from './work.js';

const BAND_POINTS = 48; // enough for a band's outline

/** The part of marks that the light is taken from. */
export const lightOf = ({card, gray}) => (card ? {card} : gray ? {gray} : {});
const lightKey = (marks) => JSON.stringify(lightOf(marks));

/** What is looked for: the pattern's layers, the back where its targets say. */
const wanted = () =>
  swirled() || state.work.cups.length > state.boot.limits.layers_found ? {} : {pattern: state.work.pattern};

const outlineOf = (bait) => ({kind: 'poly', points: [...bait.back, ...[...bait.belly].reverse()]});

/** Where the card's width is known. @returns {string[]} */
function sizeWords(bait) {
  if (bait.length_mm === undefined) return [];
  const blends = bait.blends.map((blend) => blend.width_mm.toFixed(1)).join(' and ');
  const size = `Its body is ${bait.length_mm.toFixed(1)} mm long and ${bait.height_mm.toFixed(1)} mm high`;
  return [blends ? `${size}; its layers blend over ${blends} mm.` : `${size}.`];
}

const baitOf = (bait) => ({
  outline: shapeText(thinned(outlineOf(bait), BAND_POINTS)),
  shapes: bait.layers.map((l) => shapeText(thinned(parseShape(l.shape), BAND_POINTS))),
  shares: bait.layers.map((l) => l.share),
  turned: false,
  notes: [...sizeWords(bait), ...bait.warnings],
});

function words(card, baits, given) {
  if (!baits.length) return card ? 'The card was found; no bait.' : 'Neither card nor bait was found.';
  const many = baits.length === 1 ? 'one bait' : `${baits.length} baits`;
  if (given) return `${capital(many)} ${baits.length === 1 ? 'was' : 'were'} found in the light that is marked.`;
  return card ? `The card and ${many} were found.` : `${capital(many)} found, but no card.`;
}

const markOf = (card) => ({set: 'grid24', corners: card.corners});

const others = (n) => `${n} more ${n === 1 ? 'has' : 'have'} another number of layers than this pattern.`;

/** Of an answer what the marks keep. */
function kept(answer, given) {
  const n = state.work.cups.length;
  const baits = swirled() ? [] : answer.baits.filter((bait) => bait.layers.length === n).map(baitOf);
  const left = swirled() ? 0 : answer.baits.length - baits.length;
  const light = given ?? (answer.card ? {card: markOf(answer.card)} : {});
  return {
    baits,
    bait: baits.length ? 0 : null,
    words: words(answer.card, swirled() ? answer.baits : baits, given),
    notes: [...(left ? [others(left)] : []), ...answer.warnings],
    light: lightKey(light),
  };
}

/** @param {{id: string}} info @param {?Object} given a card or gray that is marked @returns {Promise<?Object>} what was found */
export async function findIn(info, given = null) {
  try {
    const answer = await post(`/api/photos/${info.id}/find`, {marks: given ?? {}, ...wanted()});
    return {card: answer.card ?? null, kept: kept(answer, given)};
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    return null;
  }
}

/** The card of the photo before, where it lies on this one's card, too. */
async function sameCard(info, card) {
  if (!card) return null;
  try {
    const answer = await post(`/api/photos/${info.id}/card`, {set: card.set, corners: card.corners});
    return answer.settled ? {set: card.set, corners: answer.corners} : null;
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    return null;
  }
}

/**
 * Marks for a photo: what was found, and for the rest those of the photo before, which are then to be looked at.
 * @param {Object} info @param {?Object} found @param {import('./state.js').Marks} before scaled to this photo
 */
export async function marksFrom(info, found, before) {
  const marks = {layers: []};
  const card = found?.card ? markOf(found.card) : await sameCard(info, before.card);
  if (card) marks.card = card;
  else if (before.gray) marks.gray = before.gray;
  if (found) marks.found = found.kept;
  if (found?.kept.baits.length) return {...marks, layers: layersOf(found.kept.baits[0])};
  if (before.layers.length === 0) return marks;
  return {...marks, layers: before.layers, carried: true};
}

/* ---- in a light that was marked later */

/** Nothing lies on the photo at hand but the light: nothing was found, and nothing is marked by hand. */
const bare = () =>
  state.photo?.sharp &&
  state.photo.id === state.work?.photo &&
  !swirled() &&
  !state.photoBusy &&
  foundHere().baits.length === 0 &&
  (state.marks.layers.length === 0 || carried());

async function lookAgain() {
  const {photo} = state;
  const key = lightKey(state.marks);
  const found = await findIn(photo, lightOf(state.marks));
  if (!found?.kept.baits.length || !bare() || state.photo.id !== photo.id || lightKey(state.marks) !== key) return;
  const {carried: _, ...marks} = state.marks;
  drawMarks({...marks, found: found.kept, layers: layersOf(found.kept.baits[0])}, true);
  change({selected: null, redraw: false});
}

const REST_MS = 400; // a card is moved corner by corner

/** A photo in which no bait was found is searched once more whenever its light is marked otherwise. */
export function followLight() {
  const ask = asking(REST_MS, lookAgain, () => {});
  listen(() => {
    if (!bare() || !(state.marks.card || state.marks.gray)) return;
    const key = lightKey(state.marks);
    if (key !== foundHere().light) ask(`${state.photo.id} ${key}`);
  });
}
