/** Fitting bottles: chips in a photo pointed at one by one, each with what is in it. */
import {h} from '../lib/dom.js';
import {parseShape} from '../lib/shape.js';
import {plural, sentence, tidy} from '../lib/words.js';
import {post} from '../lib/api.js';
import {state} from '../bench/state.js';
import * as chips from '../bench/chips.js';
import {fitChips} from '../bench/patterns.js';
import {cornersOf} from '../bench/marks.js';
import {sendPhoto} from '../bench/upload.js';
import {cornerStep} from '../photo/overlay.js';
import {Stage} from '../photo/stage.js';
import {cardPicture} from './card-picture.js';
import {chipPalette} from './chip-palette.js';
import {chipRows} from './chip-rows.js';
import {bookOfChips} from './chip-book.js';
import {photoInput} from './photo-input.js';
import {button, note, notes} from './parts.js';

export {enterChips} from '../bench/chips.js';

const {draft, now} = chips;

const stage = new Stage({
  change: (id, value, done) =>
    id === 'card' ? chips.setCard(value.flat(), done) : chips.movePart(id, value, done),
  drawn: () => {},
  point: (p) => (draft.marks.card ? chips.pointAtChip(p) : chips.cardCorner(p)),
  select: (id) => now.selected !== id && !id?.startsWith('row:') && chips.choose(id),
  remove: (id) => (id === 'card' ? chips.removeCard() : chips.removeChip(draft.chips[Number(id)].pair)),
});

/** For those who go by keys. */
function placeInMiddle() {
  const {photo} = now;
  const [cx, cy] = [photo.width / 2, photo.height / 2];
  if (draft.marks.card) return chips.pointAtChip([cx, cy]);
  const [w, hh] = [photo.width * 0.2, photo.width * 0.12];
  chips.setCard([cx - w, cy - hh, cx + w, cy - hh, cx + w, cy + hh, cx - w, cy + hh]);
  now.selected = 'card';
  setTimeout(() => stage.focusMark('card'), 30);
  return undefined;
}

const overs = (pair) =>
  draft.chips
    .filter((part) => part.pair === pair)
    .map((part) => part.over)
    .join(' and ');
const chipText = (part) => `${chips.recipeWords(part.recipe)} over ${overs(part.pair)}`;

/** Chips of a sheet before anybody has said what they are, each with the number of its row. */
const rowMarks = () =>
  draft.rows.flatMap((row, i) =>
    row.chips.flatMap((chip, k) =>
      [chip.black, chip.white].map((shape, half) => ({
        id: `row:${i}:${k}:${half}`,
        label: `${i + 1}`,
        shape: parseShape(shape),
        compact: true,
        faint: true,
      })),
    ),
  );

function showChips() {
  const needCard = !draft.marks.card;
  const marks = draft.chips
    .map((part, i) => ({
      id: String(i),
      label: chips.recipeWords(part.recipe),
      shape: chips.partShape(part),
      words: `over ${part.over}`,
      compact: true,
    }))
    .filter((m) => m.shape);
  const corners = needCard ? now.corners : cornersOf(draft.marks.card);
  marks.push(...rowMarks(), {id: 'card', label: 'Card', corners, compact: true});
  stage.show({
    photo: now.photo,
    marks,
    selected: needCard ? 'card' : now.selected,
    draw: needCard || (now.selected === null && draft.rows.length === 0) ? 'point' : null,
    grid: now.grid,
    classes: null,
    readOnly: false,
    alt: `Photo of ${plural(draft.chips.length, 'half', 'halves')} of chips pointed at`,
  });
}

/* ---- what was pointed at */

/** One row a chip, the newest first: what was done last is looked at. */
function chipList() {
  const isFirst = ({part, i}) => draft.chips.findIndex((other) => other.pair === part.pair) === i;
  const firsts = draft.chips.map((part, i) => ({part, i})).filter(isFirst);
  const here = chips.chosen()[0]?.pair;
  return h(
    'ol',
    {class: 'chips'},
    firsts.reverse().map(({part, i}) =>
      h(
        'li',
        {key: `${part.pair}`, class: 'row'},
        h(
          'button',
          {
            type: 'button',
            class: 'choice' + (here === part.pair ? ' chosen' : ''),
            'aria-pressed': String(here === part.pair),
            onclick: () => (here === part.pair ? chips.choose(now.selected) : chips.choose(String(i))),
          },
          `${part.pair + 1}. ${chipText(part)}, ${tidy(part.thickness_mm)} mm`,
        ),
        here === part.pair && button('Take away', () => chips.removeChip(part.pair), 'quiet'),
      ),
    ),
  );
}

function reportBlock() {
  const {report, error: why} = state.fit;
  if (why) return note(why, 'bad');
  if (!report) return null;
  return h(
    'div',
    {key: 'report', class: 'report', role: 'status'},
    h('h3', {}, 'Fitted'),
    h(
      'p',
      {},
      `The bottles explain ${plural(report.chips, 'chip')} to ${report.mean_de00.toFixed(1)} in the mean, ${report.max_de00.toFixed(1)} at worst.`,
    ),
    h('p', {}, sentence(report.worst)),
    notes(report.warnings),
    notes(report.suggestions, 'soft'),
    h('a', {class: 'as-button', href: '#bottles'}, 'See the shelf'),
  );
}

function firstChoice() {
  const take = (file) => chips.takePhoto(() => sendPhoto(file));
  return h(
    'div',
    {class: 'empty-stage'},
    h(
      'p',
      {class: 'big'},
      'Chips of known drops, half over black and half over white, with the card beside them.',
    ),
    h(
      'p',
      {class: 'soft'},
      'Two or three strengths of each bottle, 3 to 5 mm thick, lying flat without air beneath.',
    ),
    h(
      'div',
      {class: 'row'},
      photoInput('Take a photo', 'photo', true, take, 'take'),
      photoInput('Choose a photo', 'file', false, take, ''),
      button('Use the sample', () => chips.takePhoto(() => post('/api/samples/chips-1')), 'quiet', {
        'data-sample': 'chips-1',
      }),
    ),
  );
}

function whatNext() {
  const corner = now.corners.length;
  if (draft.marks.card && draft.rows.length > 0) return null;
  const text = !draft.marks.card
    ? cornerStep(corner)
    : now.selected === null
      ? 'Say what is in a chip, and tap it; then the next along the row.'
      : 'Change what is in this chip, move its circles, or go on with the next.';
  return h(
    'div',
    {class: 'row middle chip-step'},
    !draft.marks.card && cardPicture(corner),
    h('p', {role: 'status'}, text),
    now.selected === null
      ? button(draft.marks.card ? 'Place one' : 'Place all four', placeInMiddle, 'quiet small by-keys')
      : button('On with the next', () => chips.choose(now.selected), '', {'data-do': 'next-chip'}),
    draft.chips.length > 0 && now.selected === null && button('Take back the last', chips.removeLast, 'quiet small'),
  );
}

const fit = () => fitChips(draft.photo, draft.marks, draft.chips);

const fitRow = () =>
  h(
    'div',
    {class: 'row'},
    button(`Fit from ${plural(draft.chips.length, 'chip')}`, fit, '', {
      disabled: state.busy === 'fit' || draft.chips.length < 2 || !draft.marks.card,
    }),
    button('Another photo', chips.leavePhoto, 'quiet'),
  );

/** The card's corners, to be moved. */
const cardButton = () =>
  draft.marks.card &&
  button('Card', () => chips.choose('card'), 'quiet small', {'aria-pressed': String(now.selected === 'card')});

const bench = () =>
  h(
    'div',
    {class: 'chips-bench'},
    h(
      'div',
      {},
      whatNext(),
      stage.node,
      h('div', {class: 'under'}, cardButton(), stage.zoom),
      note(now.lightError, 'bad'),
    ),
    h('div', {}, draft.rows.length > 0 ? chipRows() : [draft.marks.card && chipPalette(), chipList(), reportBlock(), fitRow()]),
  );

export function chipsView() {
  if (now.photo) showChips();
  return h(
    'div',
    {key: 'chips', class: 'column'},
    h(
      'section',
      {'aria-labelledby': 'view-title'},
      h(
        'div',
        {class: 'head'},
        h('h2', {id: 'view-title', tabindex: -1}, 'Fit bottles from chips'),
        h('a', {class: 'as-button', href: '#bottles'}, 'Back to the shelf'),
      ),
      note(now.error, 'bad'),
      now.busy && h('p', {class: 'soft', role: 'status'}, now.busy),
      now.photo ? bench() : firstChoice(),
      bookOfChips(),
    ),
  );
}
