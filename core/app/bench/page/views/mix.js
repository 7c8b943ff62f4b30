/** The bench itself: what to do next, the photo, the cups, the bait. */
import {h} from '../lib/dom.js';
import {capital} from '../lib/words.js';
import {state} from '../bench/state.js';
import {nextStep} from '../bench/next-step.js';
import {finish, readIntoCups} from '../bench/work.js';
import {targetsFromPhoto} from '../bench/patterns.js';
import {usePhoto} from '../bench/photo.js';
import {baitSection} from './bait.js';
import {cupsSection} from './cups.js';
import {photoInput} from './photo-input.js';
import {photoSection} from './photo-panel.js';
import {MARKING_ACTS} from './marking-acts.js';
import {button, field, formValues, goTo} from './parts.js';
import {welcome} from './chooser.js';

const ACTS = {
  ...MARKING_ACTS,
  targets: () =>
    targetsFromPhoto(
      state.work.pattern,
      state.work.cups.map((cup) => cup.layer),
    ),
  measured: readIntoCups,
  cups: () => goTo('cups-title'),
  finish: () => goTo('finish-title'),
};

function nextBanner() {
  const step = nextStep();
  const act =
    step.act === 'photo'
      ? [
          photoInput(step.label, 'photo', true, usePhoto, 'take'),
          photoInput('Choose a photo', 'file', false, usePhoto, 'choose'),
        ]
      : step.act &&
        button(step.label, ACTS[step.act], step.act === 'place' || step.act === 'cups' ? 'quiet' : '', {
          'data-next': step.act,
        });
  return h(
    'div',
    {key: 'next', class: 'next'},
    h(
      'p',
      {class: 'next-text', role: 'status'},
      h('span', {class: 'soft'}, 'Next '),
      capital(step.text),
      step.more && h('span', {class: 'soft'}, ` ${step.more}`),
    ),
    act && h('div', {class: 'row'}, act),
  );
}

function finishSection() {
  if (!state.work.cups.some((cup) => cup.additions > 0 || cup.read.length > 0)) return null;
  const save = (event) => {
    const values = formValues(event);
    finish(values.good === 'yes', values.note);
  };
  return h(
    'section',
    {key: 'finish', class: 'wide', 'aria-labelledby': 'finish-title'},
    h('h2', {id: 'finish-title', tabindex: -1}, 'Close the batch'),
    h(
      'form',
      {class: 'row end', onsubmit: save},
      h(
        'fieldset',
        {class: 'row plain'},
        h('legend', {class: 'unseen'}, 'Is it good?'),
        h(
          'label',
          {class: 'check'},
          h('input', {type: 'radio', name: 'good', value: 'yes', required: true}),
          'It is good',
        ),
        h('label', {class: 'check'}, h('input', {type: 'radio', name: 'good', value: 'no'}), 'It is not'),
      ),
      field('Note for the book', {
        type: 'text',
        name: 'note',
        maxlength: 400,
        placeholder: 'new lot of base, hand-stirred',
      }),
      h('button', {type: 'submit', class: 'quiet'}, 'Close it'),
    ),
  );
}

export function mixView() {
  if (!state.work) return welcome();
  return [
    nextBanner(),
    h('div', {key: 'bench', class: 'bench'}, photoSection(), cupsSection(), baitSection(), finishSection()),
  ];
}
