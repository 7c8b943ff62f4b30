/** The photo filling the screen, for marking with a thumb. What to do next stands in the dock below, as ever. */
import {h} from '../lib/dom.js';
import {change, state} from '../bench/state.js';
import {baitRow, markRow, selectedTools} from './marking.js';
import {stage} from './the-stage.js';
import {button, note} from './parts.js';

const leave = () => change({full: false, selected: null, redraw: false});

document.addEventListener('keydown', (event) => {
  if (event.key === 'Escape' && state.full) leave();
});

export function fullPhoto() {
  return h(
    'section',
    {key: 'full', class: 'photo full', 'aria-label': 'Marking the photo'},
    h('div', {class: 'stage-frame'}, stage.node),
    h(
      'div',
      {class: 'full-tools'},
      note(state.light.error, 'bad'),
      h('div', {class: 'full-row'}, markRow(), button('Close', leave, 'quiet', {'data-do': 'leave-full'})),
      h('div', {class: 'full-own'}, selectedTools() ?? baitRow(), stage.zoom),
    ),
  );
}
