/** The chips that the book has: looked at, put right and taken out. */
import {h} from '../lib/dom.js';
import {plural, tidy} from '../lib/words.js';
import {editInBook, keepEdit, now, recipeWords, removeFromBook, showBook} from '../bench/chips.js';
import {chipPalette} from './chip-palette.js';
import {button, swatch} from './parts.js';

const words = (chip) => `${recipeWords(chip.recipe)} over ${chip.over}, ${tidy(chip.thickness_mm)} mm`;

const correction = () =>
  h(
    'div',
    {class: 'column'},
    !now.photo && chipPalette(),
    h(
      'div',
      {class: 'row'},
      button('Keep it so', keepEdit, '', {'data-do': 'keep-edit'}),
      button('Leave as it was', () => editInBook(null), 'quiet'),
    ),
  );

const chipRow = (chip) =>
  h(
    'li',
    {key: `${chip.id}`},
    h(
      'div',
      {class: 'row middle'},
      swatch(chip.lab),
      h('span', {class: 'chip-words'}, words(chip)),
      button('Correct', () => editInBook(chip), 'quiet small', {'aria-label': `Correct ${words(chip)}`}),
      button('Take out', () => removeFromBook(chip.id), 'quiet small', {'aria-label': `Take out ${words(chip)}`}),
    ),
    now.edit?.id === chip.id && correction(),
  );

export function bookOfChips() {
  if (!now.inBook) return button('Chips in the book', showBook, 'quiet', {'data-do': 'chip-book'});
  if (now.inBook.length === 0) return h('p', {class: 'soft'}, 'The book has no chips yet.');
  return h(
    'section',
    {key: 'chip-book', 'aria-label': 'Chips in the book'},
    h('h3', {}, plural(now.inBook.length, 'chip'), ' in the book'),
    h('p', {class: 'soft'}, 'The next fit goes by them as they stand here.'),
    h('ol', {class: 'chips'}, now.inBook.map(chipRow)),
  );
}
