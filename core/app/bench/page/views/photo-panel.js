/** The photo with its marks, and what is read from it. */
import {h} from '../lib/dom.js';
import {clock} from '../lib/words.js';
import {change, state, swirled} from '../bench/state.js';
import {usePhoto} from '../bench/photo.js';
import {asideLegend} from '../photo/loupe.js';
import {carried, foundHere} from '../bench/marks.js';
import {fullPhoto} from './full-photo.js';
import {baitNotes, baitRow, markRow, selectedTools} from './marking.js';
import {choosing, emptyStage} from './photo-input.js';
import {lightLine, readings, useRow} from './readings.js';
import {stage} from './the-stage.js';
import {swirlPanel} from './swirl.js';
import {button, note, notes} from './parts.js';

function underStage() {
  return h(
    'div',
    {key: 'under', class: 'under'},
    state.marks.layers.length > 0 &&
      h(
        'label',
        {class: 'check'},
        h('input', {
          type: 'checkbox',
          checked: state.aside,
          onchange: (e) => change({aside: e.target.checked}),
        }),
        'Pixels set aside',
      ),
    button('Full screen', () => change({full: true}), 'quiet', {'data-do': 'full'}),
    stage.zoom,
    state.aside && asideLegend(),
  );
}

const leaveDrop = (event) => event.currentTarget.classList.toggle('over', event.type === 'dragover');
function dropPhoto(event) {
  event.preventDefault();
  event.currentTarget.classList.remove('over');
  const file = event.dataTransfer.files[0];
  if (file) usePhoto(file);
}

const turnLink = () =>
  h('div', {key: 'turn', class: 'row'}, h('a', {class: 'as-button small', href: '#turn'}, 'Pearl? Turn it in the light'));

const foundWords = () => [note(foundHere().words, 'soft'), notes(foundHere().notes, 'soft')];

function marking() {
  if (swirled())
    return [foundWords(), markRow(), selectedTools(), lightLine(), swirlPanel()];
  return [
    foundWords(),
    baitRow(),
    baitNotes(),
    markRow(),
    selectedTools(),
    carried() && note('The layers lie where they lay on the photo before; drag one, and all move.', 'carried'),
    lightLine(),
    readings(),
    useRow(),
    turnLink(),
  ];
}

export function photoSection() {
  const {photo} = state;
  if (photo && state.full) return fullPhoto();
  const taken = photo?.taken
    ? `, taken ${clock(photo.taken.replace(/^(\d{4}):(\d\d):/, '$1-$2-').replace(' ', 'T'))}`
    : '';
  return h(
    'section',
    {
      key: 'photo',
      class: 'photo',
      'aria-labelledby': 'photo-title',
      ondragover: (e) => (e.preventDefault(), leaveDrop(e)),
      ondragleave: leaveDrop,
      ondrop: dropPhoto,
    },
    h(
      'div',
      {class: 'head'},
      h('h2', {id: 'photo-title', tabindex: -1}, `Photo${taken}`),
      photo && h('div', {class: 'row small-labels'}, choosing('quiet small')),
    ),
    note(state.photoError, 'bad'),
    state.photoBusy && h('p', {class: 'soft', role: 'status'}, state.finding || 'Reading the photo.'),
    photo ? [stage.node, underStage()] : emptyStage(),
    photo?.sharp && marking(),
    notes(photo?.warnings, 'soft'),
  );
}
