/** A sheet of chips that was found: what is in each row is said once. */
import {h} from '../lib/dom.js';
import {plural, tidy} from '../lib/words.js';
import {bottles, draft, leaveRows, rowFault, sayRow, shownThickness, stepThickness, takeRows} from '../bench/chips.js';
import {button, field, note} from './parts.js';

const choices = () => [['', 'leave them out'], ...bottles().map((b) => [b.id, b.title || b.id])];

const rowFields = (row, i) =>
  h(
    'li',
    {key: `${i}`, class: 'row end chip-row'},
    field(`Row ${i + 1}, ${plural(row.chips.length, 'chip')}`, {
      key: 'bottle',
      options: choices(),
      value: row.bottle,
      onchange: (event) => sayRow(i, {bottle: event.target.value}),
    }),
    field('Drops per fl oz, from the left', {
      key: 'loadings',
      type: 'text',
      inputmode: 'decimal',
      autocomplete: 'off',
      value: row.loadings,
      onchange: (event) => sayRow(i, {loadings: event.target.value}),
    }),
    note(rowFault(row, i), 'bad wide-line'),
  );

export function chipRows() {
  const said = draft.rows.filter((row) => row.bottle);
  const n = said.reduce((sum, row) => sum + row.chips.length, 0);
  return h(
    'div',
    {key: 'rows', class: 'chip-rows', role: 'group', 'aria-label': 'Rows of chips that were found'},
    h('h3', {}, `${plural(draft.rows.length, 'row')} of chips were found. What is in each?`),
    h('ol', {class: 'plain-list'}, draft.rows.map(rowFields)),
    h(
      'div',
      {class: 'row'},
      h(
        'div',
        {class: 'stepper', role: 'group', 'aria-label': 'thickness of all chips'},
        button('\u2212', () => stepThickness(-1), 'quiet', {'aria-label': 'Thinner'}),
        h('span', {role: 'status'}, `${tidy(shownThickness())} mm thick`),
        button('+', () => stepThickness(1), 'quiet', {'aria-label': 'Thicker'}),
      ),
    ),
    h(
      'div',
      {class: 'row'},
      button(n > 0 ? `Take these ${plural(n, 'chip')}` : 'Take these chips', takeRows, '', {
        disabled: n === 0 || draft.rows.some((row, i) => rowFault(row, i)),
        'data-do': 'take-rows',
      }),
      button('Point at them one by one', leaveRows, 'quiet'),
    ),
  );
}
