/** The photo with its marks, and what is read from it. */
import {h} from '../lib/dom.js';
import {clock} from '../lib/words.js';
import {change, state} from '../bench/state.js';
import {usePhoto} from '../bench/photo.js';
import {asideLegend} from '../photo/loupe.js';
import {markRow, selectedTools} from './marking.js';
import {choosing, emptyStage} from './photo-input.js';
import {lightLine, readings, useRow} from './readings.js';
import {stage} from './the-stage.js';
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

function marking() {
  return [
    markRow(),
    selectedTools(),
    state.marksReused &&
      h(
        'p',
        {class: 'note', key: 'reused'},
        'These are the marks of the last photo. Check that the card\u2019s squares still lie inside its patches. ',
        button('They fit', () => change({marksReused: false}), 'inline'),
      ),
    lightLine(),
    readings(),
    useRow(),
  ];
}

export function photoSection() {
  const {photo} = state;
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
    state.photoBusy && h('p', {class: 'soft', role: 'status'}, 'Reading the photo.'),
    photo ? [stage.node, underStage()] : emptyStage(),
    photo?.sharp && marking(),
    notes(photo?.warnings, 'soft'),
  );
}
