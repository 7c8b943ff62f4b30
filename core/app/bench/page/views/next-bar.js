/** The one thing to do next, in the dock. */
import {h} from '../lib/dom.js';
import {capital} from '../lib/words.js';
import {change, state} from '../bench/state.js';
import {nextStep} from '../bench/next-step.js';
import {readIntoCups} from '../bench/work.js';
import {targetsFromPhoto} from '../bench/patterns.js';
import {usePhoto} from '../bench/photo.js';
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
  targets: () =>
    targetsFromPhoto(
      state.work.pattern,
      state.work.cups.map((cup) => cup.layer),
    ),
  measured: readIntoCups,
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
  const step = nextStep();
  return h(
    'div',
    {key: 'next', class: 'next'},
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
