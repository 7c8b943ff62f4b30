/** The one thing to do next, worked out from how things stand. */
import {aimed, bestAdvice, hasDrops, waitsForAdvice} from './advice.js';
import {progress} from './count.js';
import {mayBeDrops, otherOrder, readHere} from './drizzle.js';
import {pouredInto, pouredSincePhoto} from './work.js';
import {pattern, state, swirled, units} from './state.js';
import {swirlColors} from './swirl.js';
import {markStep} from './mark-step.js';
import {addParts, plural, tidy} from '../lib/words.js';

/** @typedef {{text: string, more?: string, act: ''|'photo'|'place'|'card'|'targets'|'swirl'|'measured'|'order'|'cups'|'finish', label?: string,
 *   layer?: string, drops?: boolean}} Step drops: the photo may be of drops instead */

const same = (one, other) => one && other && one.every((v, i) => Math.abs(v - other[i]) < 0.06);

/** Whether the cups already have the colors of the photo at hand. */
const inCups = () =>
  state.work.cups.every((cup) => {
    const reading = state.readings[cup.layer]?.reading;
    return !reading || cup.read.some((r) => r.photo === state.work.photo && same(r.lab, reading.lab));
  });

/** Nothing was poured since it was read, and something is to be added or may be. */
export const waitsForDrops = (cup) => !pouredInto(cup) && Boolean(waitsForAdvice(cup) || bestAdvice(cup.layer));

const toPour = () => state.work.cups.filter((cup) => bestAdvice(cup.layer) && !pouredInto(cup));

/** The layer whose cup is open. @returns {?string} */
export function openLayer() {
  const {cups} = state.work;
  if (cups.some((cup) => cup.layer === state.open)) return state.open;
  return (toPour()[0] ?? cups[0])?.layer ?? null;
}

/** Short: what exactly stands with the cup. */
function wholeText(proposal) {
  const parts = addParts(proposal, units());
  const drops = Object.values(proposal.add ?? {}).reduce((sum, n) => sum + n, 0);
  if (parts.length < 3) return parts.join(' and ');
  return `${plural(Number(tidy(drops)), 'drop')} of ${plural(parts.length, 'bottle')}`;
}

function addStep(cup) {
  const best = bestAdvice(cup.layer);
  const counted = progress(cup, best);
  const text = counted.none
    ? `Add ${wholeText(best)} to the ${cup.layer} cup.`
    : `Count the drops into the ${cup.layer} cup: ${tidy(counted.drops)} of ${tidy(counted.of)} in.`;
  return {text, act: 'cups', label: 'Show the cup', layer: cup.layer};
}

function cupStep() {
  const toAdd = toPour();
  const begun = toAdd.find((cup) => !progress(cup, bestAdvice(cup.layer)).none);
  if (toAdd.length > 0) return addStep(begun ?? toAdd[0]);
  if (!state.work.cups.some(hasDrops) && !state.work.cups.some(waitsForAdvice))
    return {
      text: 'Say what is in each cup, or ask for a recipe by setting targets.',
      act: 'cups',
      label: 'Show the cups',
    };
  if (state.work.cups.some(waitsForAdvice)) return {text: 'Working out what to add.', act: ''};
  if (state.adviceError)
    return {
      text: 'What to add could not be worked out. The reason stands with the cups.',
      act: 'cups',
      label: 'Show the cups',
    };
  return {
    text: 'Every cup is where it should be. Pour, and close the batch.',
    act: 'finish',
    label: 'Close the batch',
  };
}

/** The photo that stands ready shows a bait, or drops of the cups. @param {Step} step */
const orDrops = (step) => (mayBeDrops() ? {...step, drops: true} : step);

function orderStep(order) {
  return {
    text: `The drops look like ${order.join(', ')}, in this order. Do they lie so?`,
    act: 'order',
    label: 'They lie so',
  };
}

/** A swirl is read whole: nothing of it is marked. @returns {?Step} null once the batch has it */
function swirlStep() {
  const colors = swirlColors();
  if (colors.length === 0) return {text: state.swirl.error ? 'No swirl was read; the reason stands with the photo.' : 'Reading the swirl.', act: ''};
  if (colors.some(({layer}) => !layer.target))
    return {text: 'Is this how the bait should look?', act: 'swirl', label: 'Aim for these colors'};
  if (state.work.cups.some(hasDrops))
    return {text: 'Read this photo into the cups.', act: 'measured', label: 'Read into the cups'};
  return null;
}

/** @returns {Step} */
export function nextStep() {
  if (state.photoBusy) return {text: 'Reading the photo.', act: ''};
  if (!state.work.photo) {
    const again = state.work.cups.some((cup) => cup.additions > 0);
    if (
      !again &&
      state.work.cups.every(aimed) &&
      !state.work.cups.some(hasDrops)
    )
      return cupStep();
    return {
      text: again
        ? 'Drizzle a little of each cup, and take the next photo.'
        : 'Take a photo of the bait with the card beside it.',
      act: 'photo',
      label: 'Take a photo',
    };
  }
  if (otherOrder()) return orderStep(otherOrder());
  const marking = readHere() && !state.redraw ? null : markStep();
  if (marking) return orDrops(marking);
  const swirl = swirled() && !readHere() && swirlStep();
  if (swirl) return orDrops(swirl);
  const layers = pattern()?.layers ?? [];
  const shown = state.marks.layers.length > 0; // drops show no layers to aim for
  if (shown && layers.some((l) => !l.target && !l.tone))
    return {
      text: 'Is this how the bait should look?',
      act: 'targets',
      label: 'Aim for these colors',
    };
  if (pouredSincePhoto()) {
    if (state.work.cups.some(waitsForDrops)) return cupStep();
    return {
      text: 'Drizzle a little of each cup, and take the next photo.',
      act: 'photo',
      label: 'Take the next photo',
    };
  }
  if (state.work.cups.some(hasDrops) && !inCups())
    return orDrops({text: 'Read this photo into the cups.', act: 'measured', label: 'Read into the cups'});
  return cupStep();
}
