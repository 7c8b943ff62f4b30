/** What is still to be marked on the photo at hand, as the next step. */
import {state} from './state.js';
import {layerName, unmarked} from './marks.js';
import {CORNER_NAMES} from '../photo/overlay.js';

function stepFor(id) {
  if (id === 'card') {
    const i = state.corners.length;
    const which = i === 0 ? 'Mark the card: tap the middle of the patch at its' : 'Now the';
    return {
      text: `${which} ${CORNER_NAMES[i]}.`,
      more: i === 0 ? 'Hold and slide to see it enlarged.' : '',
      act: 'place',
      label: 'Place all four',
    };
  }
  if (id === 'gray') return {text: 'Mark the gray patch: drag across it.', act: 'place', label: 'Place one'};
  return {
    text: `Mark the ${layerName(id)}: drag across it, clear of edges and gloss.`,
    act: 'place',
    label: 'Place one',
  };
}

/** @returns {?import('./next-step.js').Step} null once all lies right */
export function markStep() {
  const left =
    state.selected && (state.redraw || unmarked().includes(state.selected)) ? state.selected : unmarked()[0];
  if (left) return stepFor(left);
  if (!state.light.error) return null;
  return {
    text: 'The card does not fit yet. Move its corners until the squares lie inside the patches.',
    act: 'card',
    label: 'Show the card',
  };
}
