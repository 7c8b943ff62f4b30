/** How hot each cup is: noted with one tap, the minute by the clock; and how far apart the cups are. */
import {h} from '../lib/dom.js';
import {capital, degreeName, fromDegrees, toDegrees} from '../lib/words.js';
import {state, units} from '../bench/state.js';
import {noteHeat} from '../bench/work.js';
import {button, field, formValues, note} from './parts.js';

const lastOf = (cup) => cup.heat.findLast((entry) => entry.temperature_f !== null)?.temperature_f ?? null;
/** Cups are to be alike: the next one is about as hot as the one noted last. */
const lastOfAny = () => state.work.cups.map(lastOf).find((f) => f !== null) ?? null;

const entryWords = ({minute, temperature_f, reheat}) =>
  [`minute ${minute}:`, temperature_f !== null && `${toDegrees(temperature_f, units())} ${degreeName(units())}`, reheat && 'reheated']
    .filter(Boolean)
    .join(' ');

function cupRow(cup) {
  const last = lastOf(cup) ?? lastOfAny();
  const keep = (event) => noteHeat(cup.layer, {temperature_f: fromDegrees(Number(formValues(event).degrees), units())});
  const past = cup.heat.map(entryWords).join(', ');
  return h(
    'li',
    {key: cup.layer},
    h(
      'form',
      {class: 'row end', onsubmit: keep, 'aria-label': `How hot the ${cup.layer} cup is`},
      field(`${capital(cup.layer)}, ${degreeName(units())}`, {
        type: 'number',
        inputmode: 'numeric',
        name: 'degrees',
        required: true,
        step: 'any',
        value: last === null ? '' : toDegrees(last, units()),
      }),
      h('button', {type: 'submit', class: 'quiet', 'data-heat': cup.layer}, 'Note it'),
      button('Reheated', () => noteHeat(cup.layer, {reheat: true}), 'quiet', {
        'aria-label': `Reheated: the ${cup.layer} cup`,
      }),
    ),
    past && h('p', {class: 'soft'}, past),
  );
}

export function heatForm() {
  const {heat, cups, batch} = state.work;
  if (!batch) return null;
  const noted = cups.some((cup) => cup.heat.length > 0);
  return h(
    'details',
    {class: 'slab heat', key: 'heat'},
    h('summary', {}, noted && heat?.words ? heat.words : 'How hot the cups are'),
    heat?.beyond && note(heat.words, 'bad'),
    h('ul', {class: 'plain-list'}, cups.map(cupRow)),
    h('p', {class: 'soft'}, 'The maker\u2019s data sheet says how hot plastic may be.'),
  );
}
