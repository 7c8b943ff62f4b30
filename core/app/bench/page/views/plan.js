/** What a pour takes: the wishes, the cups with what goes in, which chamber each is for, what to set out, and the molds. */
import {h} from '../lib/dom.js';
import {capital, unitName} from '../lib/words.js';
import {change, state, units} from '../bench/state.js';
import {removeMold, wish, wishFor} from '../bench/plan.js';
import {sharesOfPhoto, shareFields} from './bait-look.js';
import {chart} from './chart.js';
import {moldForm} from './mold-form.js';
import {button, field, note, notes, swatch} from './parts.js';

/* ---- the wishes */

function moldChoice(mold, {molds}) {
  const chosen = molds.includes(mold.name);
  const turn = () =>
    wishFor({molds: chosen ? molds.filter((name) => name !== mold.name) : [...molds, mold.name]});
  return h(
    'label',
    {class: 'check', key: mold.name},
    h('input', {type: 'checkbox', checked: chosen, onchange: turn, 'data-mold': mold.name}),
    capital(mold.name),
  );
}

const wishField = (label, name, value, more = {}) =>
  field(label, {
    key: name,
    type: 'text',
    autocomplete: 'off',
    value,
    onchange: (event) => wishFor({[name]: event.target.value.trim()}),
    ...more,
  });

function moreWishes(now) {
  const unit = unitName(units());
  return h(
    'details',
    {key: 'more'},
    h('summary', {}, 'Waste, cups, softener, powders'),
    h(
      'div',
      {class: 'fields'},
      wishField('Waste, % on top', 'waste', now.waste, {type: 'number', inputmode: 'decimal', min: 0, max: 100, placeholder: '10'}),
      wishField(`A cup holds, ${unit}`, 'cup', now.cup, {inputmode: 'decimal', placeholder: 'not said'}),
      wishField('Softener and the like, % of the plastic', 'additives', now.additives, {placeholder: 'softener=5, hardener=2'}),
      wishField('Powders and flake, per fl oz', 'powders', now.powders, {placeholder: 'belly:flake=0.2g'}),
    ),
  );
}

function wishes() {
  const now = wish();
  if (state.boot.molds.length === 0)
    return h('p', {key: 'no-mold', class: 'soft'}, 'What a pour takes follows from the mold: describe one below, once.');
  return [
    h(
      'div',
      {class: 'row', role: 'group', 'aria-label': 'Molds to be filled, in turn'},
      state.boot.molds.map((mold) => moldChoice(mold, now)),
    ),
    h(
      'div',
      {class: 'fields'},
      field('Baits wanted', {
        key: 'baits',
        type: 'number',
        inputmode: 'numeric',
        min: 1,
        value: now.baits,
        onchange: (event) => Number(event.target.value) > 0 && wishFor({baits: Number(event.target.value)}),
      }),
      wishField(`Each chamber holds, ${unitName(units())}`, 'chamber', now.chamber, {
        inputmode: 'decimal',
        placeholder: 'not said',
      }),
    ),
    shareFields(),
    sharesOfPhoto(),
    moreWishes(now),
  ];
}

function wishSection() {
  if (!state.work)
    return h(
      'section',
      {key: 'none'},
      h('h2', {}, 'Nothing to pour yet'),
      h('p', {}, 'Put a pattern on the bench first.'),
      h('a', {class: 'as-button', href: '#mix'}, 'To the bench'),
    );
  return h(
    'section',
    {key: 'wish', 'aria-labelledby': 'wish-title'},
    h(
      'div',
      {class: 'head'},
      h('h2', {id: 'wish-title'}, `Pour ${state.work.name}`),
      h('a', {class: 'as-button', href: '#sheet'}, 'Cup sheet'),
    ),
    wishes(),
  );
}

/* ---- the answer */

/** "back, chamber 3: 3.25 fl oz (96 ml) of plastic", with its color before it; what goes in stands below. */
function cupItem(lines, i, plan) {
  const color = plan.colors[i];
  const {layer, chamber} = plan.cups[i];
  const [first, ...rest] = lines;
  return h(
    'li',
    {key: layer, class: 'plan-cup'},
    swatch(color, color ? '' : 'none'),
    h(
      'div',
      {},
      h('h3', {}, capital(layer), h('small', {}, ` chamber ${chamber}`)),
      h('p', {class: 'big figures'}, first.slice(first.indexOf(': ') + 2)),
      rest.map((line) => h('p', {key: line, class: 'goes-in'}, line)),
    ),
  );
}

function drawing(svg, words, i) {
  return h('figure', {key: `mold ${i}`, class: 'mold'}, chart(svg, 'mold-drawing'), h('figcaption', {}, words.map((line) => h('span', {}, line))));
}

function answer() {
  const {plan, error} = state.plan;
  if (!plan) return error ? h('section', {key: 'plan'}, note(error, 'bad')) : null;
  const {words} = plan;
  const warning = state.boot.shelf.warning;
  return h(
    'section',
    {key: 'plan', class: 'plan', 'aria-labelledby': 'cups-title'},
    h('h2', {id: 'cups-title'}, 'Into the cups'),
    note(words.refusal, 'bad'),
    h('div', {role: 'status'}, words.fills.map((line) => h('p', {key: line}, line))),
    h('ol', {class: 'plan-cups'}, words.cups.map((lines, i) => cupItem(lines, i, plan))),
    notes(plan.warnings.filter((text) => text !== warning)),
    h('h2', {}, 'Into the mold'),
    h('div', {class: 'molds'}, plan.drawings.map((svg, i) => drawing(svg, words.molds[i], i))),
    h('h2', {}, 'All together'),
    h(
      'ul',
      {class: 'shopping'},
      words.shopping.map((line) =>
        h('li', {key: line}, h('label', {class: 'check'}, h('input', {type: 'checkbox'}), line)),
      ),
    ),
    note(warning),
    h('p', {class: 'note soft'}, state.boot.caution_line),
  );
}

/* ---- the molds */

const moldRow = (mold) =>
  h(
    'li',
    {key: mold.name, class: 'mold-row'},
    state.editingMold === mold.name
      ? moldForm(mold)
      : [
          h('span', {}, mold.words),
          h(
            'div',
            {class: 'row'},
            button('Change', () => change({editingMold: mold.name}), 'quiet small', {'aria-label': `Change the mold ${mold.name}`}),
            button('Remove', () => removeMold(mold.name), 'quiet small', {'aria-label': `Remove the mold ${mold.name}`}),
          ),
        ],
  );

function moldsSection() {
  const {molds} = state.boot;
  return h(
    'section',
    {key: 'molds', 'aria-labelledby': 'molds-title'},
    h('h2', {id: 'molds-title'}, 'Molds'),
    molds.length === 0 &&
      h('p', {class: 'soft'}, 'Its sprue and the side the backs lie on decide which cup goes into which chamber.'),
    h('ul', {class: 'plain-list'}, molds.map(moldRow)),
    molds.length === 0 || state.editingMold === ''
      ? moldForm(null)
      : button('Add a mold', () => change({editingMold: ''}), 'quiet', {'data-do': 'add-mold'}),
  );
}

export function planView() {
  return h(
    'div',
    {key: 'plan', class: 'column'},
    h('h2', {class: 'unseen', id: 'view-title', tabindex: -1}, 'Plan'),
    wishSection(),
    state.work && state.boot.molds.length > 0 && answer(),
    moldsSection(),
  );
}
