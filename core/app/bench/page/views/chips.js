/** Fitting bottles: chips in a photo pointed at one by one, each with what is in it. A draft stays on this device. */
import {h} from '../lib/dom.js';
import {recall, remember} from '../lib/memory.js';
import {plural, sentence, tidy} from '../lib/words.js';
import {parseShape, shapeText} from '../lib/shape.js';
import {ApiError, post} from '../lib/api.js';
import {change, state} from '../bench/state.js';
import {fitChips} from '../bench/patterns.js';
import {photoFromServer} from '../bench/photo.js';
import {sendPhoto} from '../bench/upload.js';
import {cornersOf} from '../bench/marks.js';
import {CORNER_NAMES} from '../photo/overlay.js';
import {Stage} from '../photo/stage.js';
import {photoInput} from './photo-input.js';
import {button, field, formValues, note, notes} from './parts.js';

/** @typedef {{recipe: string, thickness_mm: number, over: string, shape: string}} Chip */

const EMPTY = {photo: null, marks: {}, chips: []};
const draft = {...EMPTY, ...recall('chips', EMPTY)};
let photo = null;
let selected = null;
let corners = [];
let error = '';
let latest = {recipe: '', thickness_mm: 3, over: 'white'};
let grid = null;
let lightError = '';

function keep() {
  remember('chips', {photo: draft.photo, marks: draft.marks, chips: draft.chips});
  change({});
}

async function readLight() {
  if (!draft.photo || !draft.marks.card) return;
  try {
    const answer = await post(`/api/photos/${draft.photo}/light`, {card: draft.marks.card});
    [grid, lightError] = [answer.grid ?? null, ''];
  } catch (e) {
    if (!(e instanceof ApiError)) throw e;
    [grid, lightError] = [e.body?.grid ?? null, e.message];
  }
  change({});
}

const stage = new Stage({
  change(id, value, done) {
    if (id === 'card')
      draft.marks = {card: {set: 'grid24', corners: value.flat().map((v) => Math.round(v * 10) / 10)}};
    else draft.chips[Number(id)].shape = shapeText(value);
    if (!done) return change({});
    keep();
    return id === 'card' ? readLight() : undefined;
  },
  drawn(value) {
    draft.chips.push({...latest, shape: shapeText(value)});
    selected = String(draft.chips.length - 1);
    keep();
  },
  point(p) {
    corners.push(p);
    if (corners.length === 4) {
      draft.marks = {card: {set: 'grid24', corners: corners.flat().map((v) => Math.round(v * 10) / 10)}};
      [corners, selected] = [[], null];
      readLight();
    }
    keep();
  },
  select(id) {
    selected = id;
    change({});
  },
  remove: (id) => (id === 'card' ? removeCard() : removeChip(Number(id))),
});

function removeCard() {
  draft.marks = {};
  [grid, selected] = [null, 'card'];
  keep();
}

function removeChip(i) {
  draft.chips.splice(i, 1);
  selected = null;
  keep();
}

export const chipText = (chip) =>
  `${chip.recipe ? chip.recipe.replaceAll('=', ' ').replace(/[;,]/g, ', ') : 'clear base'} over ${chip.over}`;

async function take(run) {
  error = '';
  change({});
  try {
    const info = await run();
    Object.assign(draft, {
      photo: info.id,
      marks: info.marks?.card ? {card: info.marks.card} : {},
      chips: (info.marks?.layers ?? [])
        .filter((l) => l.over)
        .map(({recipe, thickness_mm, over, shape}) => ({recipe, thickness_mm, over, shape})),
    });
    photo = await photoFromServer(info.id);
    [selected, corners, grid] = [draft.marks.card ? null : 'card', [], null];
    readLight();
  } catch (e) {
    if (!(e instanceof ApiError)) throw e;
    error = e.message;
  }
  keep();
}

/** Brings the draft's photo back after a reload. */
export async function enterChips() {
  if (!draft.photo || photo?.id === draft.photo) return;
  try {
    photo = await photoFromServer(draft.photo);
    readLight();
  } catch (e) {
    if (!(e instanceof ApiError)) throw e;
    Object.assign(draft, EMPTY);
    error = e.message;
  }
  change({});
}

/** For those who go by keys. */
function placeInMiddle() {
  if (draft.marks.card) stage.on.drawn(stage.handyShape('ellipse'));
  else {
    const [w, hh] = [photo.width * 0.2, photo.width * 0.12];
    const [cx, cy] = [photo.width / 2, photo.height / 2];
    corners = [];
    stage.on.change(
      'card',
      [
        [cx - w, cy - hh],
        [cx + w, cy - hh],
        [cx + w, cy + hh],
        [cx - w, cy + hh],
      ],
      true,
    );
    selected = 'card';
  }
  setTimeout(() => stage.focusMark(selected), 30);
}

function showChips() {
  const marks = draft.chips
    .map((chip, i) => ({
      id: String(i),
      label: String(i + 1),
      shape: parseShape(chip.shape),
      words: chipText(chip),
      compact: true,
    }))
    .filter((m) => m.shape);
  if (!draft.marks.card) marks.push({id: 'card', label: 'Card', corners});
  else marks.push({id: 'card', label: 'Card', corners: cornersOf(draft.marks.card)});
  const needCard = !draft.marks.card;
  stage.show({
    photo,
    marks,
    selected: needCard ? 'card' : selected,
    draw: needCard ? 'point' : selected === null ? 'ellipse' : null,
    grid,
    classes: null,
    readOnly: false,
    alt: `Photo of ${plural(draft.chips.length, 'chip')} pointed at`,
  });
}

const OVERS = [
  ['white', 'white'],
  ['black', 'black'],
  ['gray', 'gray'],
];

function chipForm(chip, i) {
  const set = (part) => {
    Object.assign(draft.chips[i], part);
    latest = {
      recipe: draft.chips[i].recipe,
      thickness_mm: draft.chips[i].thickness_mm,
      over: draft.chips[i].over,
    };
    keep();
  };
  return h(
    'div',
    {key: `form-${i}`, class: 'chip-form row end'},
    field('Drops per fl oz, as orange=2', {
      type: 'text',
      value: chip.recipe,
      autocomplete: 'off',
      placeholder: 'clear base',
      onchange: (e) => set({recipe: e.target.value.trim()}),
    }),
    field('Thick, mm', {
      type: 'number',
      inputmode: 'decimal',
      min: 0.5,
      max: 50,
      step: 'any',
      value: chip.thickness_mm,
      onchange: (e) => Number(e.target.value) > 0 && set({thickness_mm: Number(e.target.value)}),
    }),
    field('Lies over', {options: OVERS, value: chip.over, onchange: (e) => set({over: e.target.value})}),
    button('Take away', () => removeChip(i), 'quiet'),
  );
}

function chipList() {
  if (draft.chips.length === 0)
    return h('p', {class: 'soft'}, 'Tap a chip, well inside its edge; then say what is in it.');
  return [
    h(
      'ol',
      {class: 'chips'},
      draft.chips.map((chip, i) =>
        h(
          'li',
          {key: `${i}`},
          h(
            'button',
            {
              type: 'button',
              class: 'choice' + (selected === String(i) ? ' chosen' : ''),
              'aria-pressed': String(selected === String(i)),
              onclick: () => {
                selected = selected === String(i) ? null : String(i);
                change({});
              },
            },
            `${i + 1}. ${chipText(chip)}, ${tidy(chip.thickness_mm)} mm`,
          ),
          selected === String(i) && chipForm(chip, i),
        ),
      ),
    ),
    selected !== null &&
      button(
        'Point at the next chip',
        () => {
          selected = null;
          change({});
        },
        'quiet',
      ),
  ];
}

/* ---- what came out */

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
      photoInput('Take a photo', 'photo', true, (f) => take(() => sendPhoto(f)), 'take'),
      photoInput('Choose a photo', 'file', false, (f) => take(() => sendPhoto(f)), ''),
      button('Use the sample', () => take(() => post('/api/samples/chips-1')), 'quiet', {
        'data-sample': 'chips-1',
      }),
    ),
  );
}

export function chipsView() {
  if (photo) showChips();
  const fit = () => fitChips(draft.photo, draft.marks, draft.chips);
  const cardNext = CORNER_NAMES[corners.length];
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
      note(error, 'bad'),
      photo &&
        h(
          'div',
          {class: 'row'},
          h(
            'p',
            {role: 'status'},
            draft.marks.card
              ? 'Point at each chip, and say what is in it.'
              : `Mark the card: tap the ${cardNext}.`,
          ),
          button(draft.marks.card ? 'Place one' : 'Place all four', placeInMiddle, 'quiet small'),
        ),
      photo
        ? h(
            'div',
            {class: 'chips-bench'},
            h('div', {}, stage.node, h('div', {class: 'under'}, stage.zoom), note(lightError, 'bad')),
            h(
              'div',
              {},
              chipList(),
              reportBlock(),
              h(
                'div',
                {class: 'row'},
                button(`Fit from ${plural(draft.chips.length, 'chip')}`, fit, '', {
                  disabled: state.busy === 'fit' || draft.chips.length < 2 || !draft.marks.card,
                }),
                button(
                  'Another photo',
                  () => {
                    Object.assign(draft, {photo: null, marks: {}, chips: []});
                    photo = null;
                    keep();
                  },
                  'quiet',
                ),
              ),
            ),
          )
        : firstChoice(),
    ),
  );
}
