/** Card, baits and layers that the server finds in a photo, as marks. */
import {ApiError, post} from '../lib/api.js';
import {parseShape, shapeText, thinned} from '../lib/shape.js';
import {state, swirled} from './state.js';
import {layersOf} from './marks.js';

const BAND_POINTS = 48; // enough for a band's outline

/** What is looked for: the pattern's layers, the back where its targets say. */
const wanted = () =>
  swirled() || state.work.cups.length > state.boot.limits.layers_found ? {} : {pattern: state.work.pattern};

const outlineOf = (bait) => ({kind: 'poly', points: [...bait.back, ...[...bait.belly].reverse()]});
const baitOf = (bait) => ({
  outline: shapeText(thinned(outlineOf(bait), BAND_POINTS)),
  shapes: bait.layers.map((l) => shapeText(thinned(parseShape(l.shape), BAND_POINTS))),
  shares: bait.layers.map((l) => l.share),
  turned: false,
  notes: bait.warnings,
});

function words(card, baits) {
  if (!baits.length) return card ? 'The card was found; no bait.' : 'Neither card nor bait was found.';
  const many = baits.length === 1 ? 'one bait' : `${baits.length} baits`;
  return card ? `The card and ${many} were found.` : `${many[0].toUpperCase()}${many.slice(1)} found, but no card.`;
}

/** @param {{id: string}} info @param {Object} marks a card marked by hand, or {} @returns {Promise<?Object>} what was found */
export async function findIn(info, marks = {}) {
  try {
    const answer = await post(`/api/photos/${info.id}/find`, {marks, ...wanted()});
    const n = state.work.cups.length;
    const baits = swirled() ? [] : answer.baits.filter((bait) => bait.layers.length === n).map(baitOf);
    const others = swirled() ? 0 : answer.baits.length - baits.length;
    return {
      card: answer.card ?? null,
      kept: {
        baits,
        bait: baits.length ? 0 : null,
        words: words(answer.card, swirled() ? answer.baits : baits),
        notes: [...(others ? [`${others} more ${others === 1 ? 'has' : 'have'} another number of layers than this pattern.`] : []), ...answer.warnings],
      },
    };
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
  const card = found?.card ? {set: 'grid24', corners: found.card.corners} : await sameCard(info, before.card);
  if (card) marks.card = card;
  else if (before.gray) marks.gray = before.gray;
  if (found) marks.found = found.kept;
  if (found?.kept.baits.length) return {...marks, layers: layersOf(found.kept.baits[0])};
  if (before.layers.length === 0) return marks;
  return {...marks, layers: before.layers, carried: true};
}
