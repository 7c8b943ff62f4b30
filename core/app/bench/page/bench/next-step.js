/** The one thing to do next, worked out from how things stand. */
import {adviceFor, waitsForAdvice} from './advice.js';
import {cupOf, layerOf, pattern, state, units} from './state.js';
import {pouredInto, pouredSincePhoto} from './work.js';
import {markStep} from './mark-step.js';
import {addText} from '../lib/words.js';

/** @typedef {{text: string, more?: string, act: ''|'photo'|'place'|'targets'|'measured'|'cups'|'finish', label?: string}} Step */

const same = (one, other) => one && other && one.every((v, i) => Math.abs(v - other[i]) < 0.06);
const hasDrops = (cup) => Object.values(cup.drops).some((n) => n > 0);

/** Whether the cups already have the colors of the photo at hand. */
export const inCups = () =>
  state.work.cups.every((cup) => {
    const reading = state.readings[cup.layer]?.reading;
    return !reading || cup.read.some((r) => r.photo === state.work.photo && same(r.lab, reading.lab));
  });

/** The first proposal, when it adds something. */
export function bestAdvice(name) {
  const best = adviceFor(cupOf(name))?.advice?.[0];
  return best && addText(best, units()) ? best : null;
}

function cupStep() {
  const toAdd = state.work.cups.filter((cup) => bestAdvice(cup.layer) && !pouredInto(cup));
  if (toAdd.length > 0) {
    const first = toAdd[0];
    return {
      text: `Add ${addText(bestAdvice(first.layer), units()).replaceAll('+', '')} to the ${first.layer} cup.`,
      act: 'cups',
      label: 'Show the cup',
    };
  }
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

/** @returns {Step} */
export function nextStep() {
  if (state.photoBusy) return {text: 'Reading the photo.', act: ''};
  if (!state.work.photo) {
    const again = state.work.cups.some((cup) => cup.additions > 0);
    if (
      !again &&
      state.work.cups.every((cup) => layerOf(cup.layer)?.target) &&
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
  const marking = markStep();
  if (marking) return marking;
  const layers = pattern()?.layers ?? [];
  if (layers.some((l) => !l.target))
    return {
      text: 'Is this how the bait should look?',
      act: 'targets',
      label: 'Aim for these colors',
    };
  if (pouredSincePhoto()) {
    if (state.work.cups.some((cup) => !pouredInto(cup) && (waitsForAdvice(cup) || bestAdvice(cup.layer))))
      return cupStep();
    return {
      text: 'Drizzle a little of each cup, and take the next photo.',
      act: 'photo',
      label: 'Take the next photo',
    };
  }
  if (state.work.cups.some(hasDrops) && !inCups())
    return {text: 'Read this photo into the cups.', act: 'measured', label: 'Read into the cups'};
  return cupStep();
}
