/** The head: what lies on the bench, what can be taken back, and the views. */
import {h} from '../lib/dom.js';
import {icon} from '../lib/icons.js';
import {entryWords, plural} from '../lib/words.js';
import {change, state} from '../bench/state.js';
import {redo, undo} from '../bench/work.js';
import {workTitle} from './chooser.js';

export const VIEW_NAMES = {
  mix: 'Mix',
  targets: 'Targets',
  batches: 'Batches',
  bottles: 'Bottles',
  plan: 'Plan',
  sheet: 'Sheet',
  turn: 'Turned in the light',
  settings: 'Settings',
};

/** It names what it will take or bring back. */
function stepButton(way, text, run) {
  const words = state.work[way] && entryWords(state.work[way].words);
  return h(
    'button',
    {
      type: 'button',
      class: 'tool-button',
      key: way,
      onclick: run,
      disabled: !words,
      title: words ?? null,
      'data-do': way,
    },
    icon(way),
    h('span', {}, h('span', {}, text, h('span', {class: 'unseen'}, ': ')), words && h('small', {}, words)),
  );
}

function title() {
  const {work} = state;
  return h(
    'h1',
    {},
    h(
      'button',
      {
        type: 'button',
        class: 'title',
        'aria-haspopup': 'dialog',
        disabled: !state.boot?.patterns.length,
        onclick: () => change({chooser: true}),
      },
      h('span', {}, workTitle()),
      state.boot?.patterns.length > 0 && icon('down'),
      work && h('small', {}, `batch ${work.batch_name ?? ''}, ${plural(work.cups.length, 'cup')}`),
      h('span', {class: 'unseen'}, '. What lies on the bench'),
    ),
  );
}

export const header = () => [
  title(),
  h(
    'div',
    {class: 'header-tools'},
    state.work && stepButton('undo', 'Undo', undo),
    state.work?.redo && stepButton('redo', 'Redo', redo),
  ),
];

/* The sheet is reached from the plan, a turned bait from the bench. */
const BEHIND = {sheet: 'plan', turn: 'mix'};
const TABS = Object.keys(VIEW_NAMES).filter((view) => !BEHIND[view]);

export function nav() {
  const here = BEHIND[state.route.view] ?? state.route.view;
  return TABS.map((view) =>
    h(
      'a',
      {key: view, href: `#${view}`, 'aria-current': here === view ? 'page' : null},
      icon(view),
      h('span', {}, VIEW_NAMES[view]),
    ),
  );
}
