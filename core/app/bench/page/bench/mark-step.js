/** What is still to be marked on the photo at hand, as the next step. */
import {state} from './state.js';
import {carried, layerName, unmarked} from './marks.js';
import {cornerStep} from '../photo/overlay.js';

function stepFor(id) {
  if (id === 'card') {
    const i = state.corners.length;
    return {
      text: cornerStep(i),
      more: 'Hold and slide to see it enlarged.',
      corner: i,
      act: 'place',
      label: 'Place all four',
    };
  }
  if (id === 'gray') return {text: 'Mark the gray patch: drag across it.', act: 'place', label: 'Place one'};
  return {
    text: `Mark the ${layerName(id)}: drag across it.`,
    more: 'Clear of edges and gloss.',
    act: 'place',
    label: 'Place one',
  };
}

/** @returns {?import('./next-step.js').Step} null once all lies right */
export function markStep() {
  const left =
    state.selected && (state.redraw || unmarked().includes(state.selected)) ? state.selected : unmarked()[0];
  if (left) return stepFor(left);
  if (state.light.error)
    return {
      text: 'The card does not fit yet. Move its corners until the squares lie inside the patches.',
      act: 'card',
      label: 'Show the card',
    };
  if (carried())
    return {
      text: 'Do the layers still lie right on the bait?',
      more: 'They are the marks of the photo before. Drag one: all move.',
      act: 'right',
      label: 'They lie right',
    };
  return null;
}
