/** A mold, new or changed: its cavities, what they take, how it stands. */
import {h} from '../lib/dom.js';
import {tidy} from '../lib/words.js';
import {saveMold} from '../bench/plan.js';
import {change, state, units} from '../bench/state.js';
import {button, field, formValues} from './parts.js';

const SIDES = {toward: 'toward you', away: 'away from you', left: 'left', right: 'right'};
const across = (sprue) => (sprue === 'left' || sprue === 'right' ? ['away', 'toward'] : ['left', 'right']);
const options = (sides) => sides.map((side) => [side, SIDES[side]]);

const UNITS = [
  ['ml', 'ml'],
  ['floz', 'fl oz'],
  ['g', 'grams'],
];
const usualUnit = () => (units() === 'metric' ? 'ml' : 'floz');

/* What is chosen while the form is open, and of which mold: another's form may be opened before this one is left. */
let standing = null;

function sideFields(mold) {
  const of = mold?.name ?? '';
  const now = standing?.of === of ? standing : {of, sprue: mold?.sprue ?? 'toward', back: mold?.back};
  const turn = (part) => {
    standing = {...now, ...part};
    change({});
  };
  const sides = across(now.sprue);
  return [
    field('The sprue faces', {
      key: 'sprue',
      name: 'sprue',
      options: options(Object.keys(SIDES)),
      value: now.sprue,
      onchange: (event) => turn({sprue: event.target.value, back: across(event.target.value)[0]}),
    }),
    field('The baits\u2019 backs lie', {
      key: `back ${now.sprue}`,
      name: 'back',
      options: options(sides),
      value: sides.includes(now.back) ? now.back : sides[0],
      onchange: (event) => turn({back: event.target.value}),
    }),
  ];
}

function leave() {
  standing = null;
  change({editingMold: null});
}

async function keep(event) {
  const v = formValues(event);
  const amount = (text) => (text === '' ? undefined : `${text}${v.unit}`);
  const mold = {
    name: v.name.trim(),
    cavities: Number(v.cavities),
    bait_volume: amount(v.bait),
    runner_volume: amount(v.runner),
    density: v.density ? Number(v.density) : undefined,
    sprue: v.sprue,
    back: v.back,
  };
  if (await saveMold(mold)) leave();
}

const number = (label, name, value, more = {}) =>
  field(label, {type: 'number', inputmode: 'decimal', step: 'any', min: 0, name, value, key: name, ...more});

/** @param {?Object} mold what the book has of it; null for a new one */
export function moldForm(mold) {
  return h(
    'form',
    {key: `mold ${mold?.name ?? ''}`, class: 'make mold-form', onsubmit: keep, 'aria-label': mold ? `The mold ${mold.name}` : 'A new mold'},
    field('Name', {
      type: 'text',
      name: 'name',
      required: true,
      maxlength: 47,
      autocomplete: 'off',
      value: mold?.name ?? '',
      placeholder: 'craw',
      readonly: Boolean(mold),
    }),
    h(
      'div',
      {class: 'fields'},
      number('Cavities', 'cavities', mold?.cavities ?? '', {step: 1, min: 1, inputmode: 'numeric', required: true}),
      number('One bait takes', 'bait', mold ? tidy(mold.bait_ml) : '', {required: true}),
      number('Runner and sprue take', 'runner', mold ? tidy(mold.runner_ml) : '', {placeholder: 'nothing'}),
      field('In', {name: 'unit', key: 'unit', options: UNITS, value: mold ? 'ml' : usualUnit()}),
      number('Plastic weighs, g a ml', 'density', '', {placeholder: 'for grams only'}),
      sideFields(mold),
    ),
    h(
      'div',
      {class: 'row'},
      h('button', {type: 'submit'}, 'Keep the mold'),
      (mold || state.boot.molds.length > 0) && button('Leave as it was', leave, 'quiet'),
    ),
  );
}
