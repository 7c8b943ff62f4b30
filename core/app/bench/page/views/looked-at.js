/** How the plastic is looked at: how thick, and over what. */
import {h} from '../lib/dom.js';
import {tidy} from '../lib/words.js';
import {state} from '../bench/state.js';
import {saveWork} from '../bench/work.js';
import {field} from './parts.js';

const BACKINGS = [
  ['gray', 'something gray'],
  ['white', 'something white'],
  ['black', 'something dark'],
];

const overWords = (over) => BACKINGS.find(([value]) => value === over)?.[1] ?? 'a gray of its own';

export function slabForm() {
  const {slab} = state.work;
  const save = (part) => saveWork({slab: {...slab, ...part}});
  return h(
    'details',
    {class: 'slab'},
    h(
      'summary',
      {},
      `Looked at ${tidy(slab.thickness_mm)} mm thick over ${overWords(slab.over)}`,
    ),
    h(
      'div',
      {class: 'row'},
      field('Thickness, mm', {
        type: 'number',
        inputmode: 'decimal',
        min: 0.5,
        max: 100,
        step: 'any',
        value: slab.thickness_mm,
        onchange: (e) => Number(e.target.value) > 0 && save({thickness_mm: Number(e.target.value)}),
      }),
      field('Lying over', {
        options: BACKINGS,
        value: slab.over,
        onchange: (e) => save({over: e.target.value}),
      }),
    ),
  );
}
