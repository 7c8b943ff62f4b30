/** A question before readings are kept that do not look like the bait's. */
import {h} from '../lib/dom.js';
import {capital} from '../lib/words.js';
import {state} from '../bench/state.js';
import {keepDoubted, leaveDoubted} from '../bench/doubts.js';
import {select, layerId} from '../bench/marks.js';
import {button} from './parts.js';

function lookAgain() {
  const {list} = state.doubts;
  leaveDoubted();
  select(layerId(list[0].layer));
}

export function doubtPanel() {
  if (!state.doubts) return null;
  const asked = state.doubts.use === 'aim' ? 'Aim for it anyway' : 'Keep it anyway';
  return h(
    'div',
    {key: 'doubts', class: 'doubts', role: 'alert'},
    h('h3', {}, 'Is this right?'),
    h(
      'ul',
      {},
      state.doubts.list.map(({layer, words}, i) =>
        h('li', {key: `${i}`}, h('strong', {}, `${capital(layer)}: `), words),
      ),
    ),
    h(
      'div',
      {class: 'row'},
      button('Look at the mark', lookAgain, '', {'data-do': 'look-again'}),
      button(asked, keepDoubted, 'quiet', {'data-do': 'keep-anyway'}),
    ),
  );
}
