/** What lies on the bench, what else could, and how an empty book begins. */
import {h} from '../lib/dom.js';
import {capital, day, plural} from '../lib/words.js';
import {change, state} from '../bench/state.js';
import {makePattern} from '../bench/patterns.js';
import {openWork, startWork} from '../bench/work.js';
import {useSample} from '../bench/photo.js';
import {button, field, formValues} from './parts.js';

async function leaveTo(run) {
  if (await run()) change({chooser: false});
  location.hash = '#mix';
}

async function make(event) {
  const values = formValues(event);
  const layers = String(values.layers)
    .split(',')
    .map((s) => s.trim())
    .filter(Boolean);
  if (await makePattern(String(values.name).trim(), layers, '', values.swirl === 'on')) await leaveTo(async () => true);
}

/** Begun anew once a pattern is made. @param {string} id so that two of them can stand on one page */
export function patternForm(id) {
  return h(
    'form',
    {key: `make-${id}-${state.boot.patterns.length}`, class: 'make', onsubmit: make},
    field('Name of the pattern', {
      type: 'text',
      name: 'name',
      required: true,
      maxlength: 60,
      autocomplete: 'off',
      placeholder: 'creek crawfish',
    }),
    field('Its layers, back first', {
      type: 'text',
      name: 'layers',
      required: true,
      maxlength: 200,
      value: 'back, middle, belly',
      autocomplete: 'off',
    }),
    h('label', {class: 'check'}, h('input', {type: 'checkbox', name: 'swirl'}), 'A swirl: 2 or 3 colors without order'),
    h('button', {type: 'submit'}, 'Put it on the bench'),
  );
}

async function trySample() {
  if (
    await makePattern('creek crawfish', ['back', 'middle', 'belly'], 'a sample; shop and bait are invented')
  )
    await useSample('crawfish-1');
}

export function welcome() {
  const {patterns} = state.boot;
  return h(
    'div',
    {key: 'welcome', class: 'welcome'},
    h(
      'section',
      {},
      h('h2', {}, patterns.length ? 'A new pattern' : 'What do you want to pour?'),
      h(
        'p',
        {class: 'soft'},
        'A pattern is a bait color with its layers, from back to belly. Each layer gets a cup.',
      ),
      patternForm('welcome'),
    ),
    patterns.length > 0 &&
      h(
        'section',
        {},
        h('h2', {}, 'Or one you know'),
        h(
          'div',
          {class: 'row'},
          patterns.map((p) =>
            button(p.name, () => leaveTo(() => startWork(p.id)), 'quiet', {key: `${p.id}`}),
          ),
        ),
      ),
    h(
      'section',
      {},
      h('h2', {}, 'Just looking?'),
      h(
        'p',
        {class: 'soft'},
        'Try it with a crawfish of ours: a photo, its card and three layers, already marked.',
      ),
      button('Try the sample', trySample, 'quiet', {'data-do': 'sample'}),
    ),
  );
}

function workButton(work) {
  const here = work.id === state.work?.id;
  return h(
    'li',
    {key: `w${work.id}`},
    h(
      'button',
      {
        type: 'button',
        class: 'choice',
        'aria-current': here ? 'true' : null,
        onclick: () => leaveTo(() => openWork(work.id)),
      },
      h('strong', {}, work.name),
      h(
        'span',
        {class: 'soft'},
        `${work.name === work.pattern ? '' : `${work.pattern}, `}${day(work.updated)}${here ? ', on the bench now' : ''}`,
      ),
    ),
  );
}

export function chooserContent() {
  const {works, patterns} = state.boot;
  return [
    h(
      'div',
      {class: 'head'},
      h('h2', {id: 'chooser-title'}, 'On the bench'),
      button('Close', () => change({chooser: false}), 'quiet small'),
    ),
    works?.length > 0 && h('ul', {class: 'choices'}, works.map(workButton)),
    patterns.length > 0 && [
      h('h3', {}, 'Fresh cups for'),
      h(
        'div',
        {class: 'row'},
        patterns.map((p) =>
          button(p.name, () => leaveTo(() => startWork(p.id)), 'quiet', {
            key: `p${p.id}`,
            'aria-label': `Fresh cups for ${p.name}, ${plural(p.batches ?? 0, 'batch', 'batches')} so far`,
          }),
        ),
      ),
    ],
    h('h3', {}, 'A new pattern'),
    patternForm('chooser'),
  ];
}

export const workTitle = () => (state.work ? capital(state.work.name) : 'Dropwise');
