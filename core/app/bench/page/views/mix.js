/** The bench itself: the photo, the stack of layers with their cups, the bait. */
import {h} from '../lib/dom.js';
import {state} from '../bench/state.js';
import {baitSection} from './bait.js';
import {welcome} from './chooser.js';
import {finishSection} from './finish.js';
import {photoSection} from './photo-panel.js';
import {stackSection} from './stack.js';

export function mixView() {
  if (!state.work) return welcome();
  if (state.full) return photoSection();
  return h(
    'div',
    {key: 'bench', class: 'bench'},
    photoSection(),
    stackSection(finishSection()),
    baitSection(),
  );
}
