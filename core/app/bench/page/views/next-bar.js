/** The one thing to do next, in the dock. */
import {h} from '../lib/dom.js';
import {capital} from '../lib/words.js';
import {change, state} from '../bench/state.js';
import {keepOrder, otherOrder, readDrops} from '../bench/drizzle.js';
import {nextStep} from '../bench/next-step.js';
import {usePhoto} from '../bench/photo.js';
import {aimForSwirl} from '../bench/swirl.js';
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
  swirl: aimForSwirl,
  finish: () => goTo('finish-title'),
  order: () => readDrops(otherOrder()),
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

/** A second way on: the photo is of drops, or these lie as the cups do after all. */
function otherAct(step) {
  if (step.act === 'order') return button('No, in the order of the cups', keepOrder, 'quiet', {'data-do': 'keep-order'});
  return (
    step.drops &&
    button('These are drops', () => readDrops(), 'quiet', {'data-do': 'drops', disabled: state.busy === 'drizzled'})
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
    h('div', {class: 'row'}, act(step), otherAct(step)),
  );
}
