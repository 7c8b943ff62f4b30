/** The bench itself: the photo, the stack of layers with their cups, the bait. */
import {h} from '../lib/dom.js';
import {state, swirled} from '../bench/state.js';
import {aimed} from '../bench/advice.js';
import {markStep} from '../bench/mark-step.js';
import {baitSection} from './bait.js';
import {welcome} from './chooser.js';
import {finishSection} from './finish.js';
import {finishedSection} from './finished.js';
import {photoSection} from './photo-panel.js';
import {stackSection} from './stack.js';

/** Nothing is to be marked and something is aimed for: on a phone the stack then follows the photo at once. */
const settled = () => Boolean(state.photo) && !markStep() && state.work.cups.some(aimed);

export function mixView() {
  if (!state.work) return welcome();
  if (state.full) return photoSection();
  return h(
    'div',
    {key: 'bench', class: settled() ? 'bench settled' : 'bench'},
    photoSection(),
    stackSection(finishSection() ?? finishedSection()),
    !swirled() && baitSection(), // it is drawn in layers
  );
}
