/** The one thing to do next, in the dock. */
import {h} from '../lib/dom.js';
import {capital} from '../lib/words.js';
import {change, state} from '../bench/state.js';
import {nextStep} from '../bench/next-step.js';
import {usePhoto} from '../bench/photo.js';
import {cardPicture} from './card-picture.js';
import {doubtPanel} from './doubt-panel.js';
import {photoInput} from './photo-input.js';
import {MARKING_ACTS} from './marking-acts.js';
import {button, goTo} from './parts.js';

function showCup({layer}) {
  change({open: layer ?? state.open, editing: null});
  setTimeout(() => {
    document.querySelector('.cup :is(button, summary)')?.focus({preventScroll: true});
    document.querySelector('.band[aria-selected=true]')?.scrollIntoView({block: 'start'});
  });
}

const ACTS = {
  ...MARKING_ACTS,
  cups: showCup,
  finish: () => goTo('finish-title'),
};
const QUIET = ['place', 'cups'];

function act(step) {
  if (step.act === 'photo')
    return [
      photoInput(step.label, 'photo', true, usePhoto, 'take'),
      photoInput('Choose a photo', 'file', false, usePhoto, 'choose'),
    ];
  return (
    step.act &&
    button(step.label, () => ACTS[step.act](step), QUIET.includes(step.act) ? 'quiet' : '', {'data-next': step.act})
  );
}

export function nextBar() {
  if (state.route.view !== 'mix' || !state.work || !state.boot) return null;
  if (state.doubts) return doubtPanel();
  const step = nextStep();
  return h(
    'div',
    {key: 'next', class: 'next'},
    step.corner !== undefined && cardPicture(step.corner),
    h(
      'p',
      {class: 'next-text', role: 'status'},
      h('span', {class: 'soft'}, 'Next: '),
      capital(step.text),
      step.more && h('span', {class: 'soft'}, ` ${step.more}`),
    ),
    h('div', {class: 'row'}, act(step)),
  );
}
