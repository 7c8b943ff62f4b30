/** What a cup holds, corrected by hand. */
import {h} from '../lib/dom.js';
import {fromUnit, toUnit, unitName} from '../lib/words.js';
import {change, state, units} from '../bench/state.js';
import {saveCup} from '../bench/work.js';
import {button, field, formValues, swatch} from './parts.js';

const editable = () => state.boot.shelf.bottles.filter((b) => b.known !== false);

function saveEdit(cup, event) {
  const values = formValues(event);
  const drops = {...cup.drops}; // a bottle that is no longer on the shelf stays in it
  for (const bottle of editable()) {
    const n = Number(values[`drops ${bottle.id}`]);
    drops[bottle.id] = n > 0 ? n : 0;
  }
  saveCup(cup.layer, {
    drops,
    volume_floz: fromUnit(Number(values.volume), units()),
    capacity_floz: fromUnit(Number(values.capacity), units()),
  });
  change({editing: null});
}

export function editForm(cup) {
  const unit = unitName(units());
  const bottles = editable();
  const number = {type: 'number', inputmode: 'decimal', min: 0, step: 'any', required: true};
  return h(
    'form',
    {key: 'edit', class: 'edit', onsubmit: (event) => saveEdit(cup, event)},
    h(
      'fieldset',
      {},
      h('legend', {}, 'Drops in it'),
      h(
        'div',
        {class: 'amounts'},
        bottles.map((b) =>
          field(
            b.id,
            {
              key: b.id,
              type: 'number',
              inputmode: 'decimal',
              min: 0,
              max: 500,
              step: 'any',
              name: `drops ${b.id}`,
              value: cup.drops[b.id] ?? '',
              placeholder: '0',
            },
            swatch(b.swatches?.at(-1)?.lab),
          ),
        ),
      ),
    ),
    h(
      'div',
      {class: 'row'},
      field(`Clear base in it, ${unit}`, {
        ...number,
        name: 'volume',
        value: toUnit(cup.volume_floz, units()),
      }),
      field(`It holds, ${unit}`, {...number, name: 'capacity', value: toUnit(cup.capacity_floz, units())}),
    ),
    h(
      'div',
      {class: 'row'},
      h('button', {type: 'submit'}, 'Keep'),
      button('Leave as it was', () => change({editing: null}), 'quiet'),
    ),
  );
}
