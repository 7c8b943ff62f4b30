/** What to mark, and with what. */
import {h} from '../lib/dom.js';
import {icon} from '../lib/icons.js';
import {capital} from '../lib/words.js';
import {change, state} from '../bench/state.js';
import {
  carried,
  chooseBait,
  foundHere,
  hasMark,
  layerId,
  layerName,
  MIDDLE_GRAY,
  placedCups,
  removeMark,
  select,
  setGrayLevel,
  turnCard,
  turnLayers,
} from '../bench/marks.js';
import {readAllIntoCups} from '../bench/doubts.js';
import {button, field, notes} from './parts.js';

function markButton(id, text) {
  const has = hasMark(id);
  return h(
    'button',
    {
      key: id,
      type: 'button',
      class: 'mark' + (state.selected === id ? ' chosen' : ''),
      'aria-pressed': String(state.selected === id),
      'data-id': id,
      onclick: () => select(state.selected === id ? null : id),
    },
    h('span', {class: has ? 'tick has' : 'tick', 'aria-hidden': 'true'}),
    text,
    h('span', {class: 'unseen'}, has ? ', marked' : ', not marked yet'),
  );
}

const TOOLS = [
  ['rect', 'Box'],
  ['ellipse', 'Oval'],
  ['lasso', 'Freehand'],
];

const toolRow = () =>
  h(
    'div',
    {class: 'tools', role: 'group', 'aria-label': 'Shape to draw'},
    TOOLS.map(([kind, text]) =>
      h(
        'button',
        {
          key: kind,
          type: 'button',
          class: 'tool' + (state.tool === kind ? ' chosen' : ''),
          'aria-pressed': String(state.tool === kind),
          onclick: () => change({tool: kind, redraw: hasMark(state.selected)}),
        },
        icon(kind),
        text,
      ),
    ),
  );

const grayField = () =>
  field('How light the gray is, 0 to 1', {
    type: 'number',
    inputmode: 'decimal',
    min: 0.02,
    max: 1,
    step: 'any',
    value: state.marks.gray?.y ?? MIDDLE_GRAY,
    onchange: (e) => setGrayLevel(Number(e.target.value) || MIDDLE_GRAY),
  });

export function selectedTools() {
  const id = state.selected;
  const has = hasMark(id);
  if (!id || (id === 'card' && !has)) return null;
  const name = id === 'card' ? 'the card' : id === 'gray' ? 'the gray patch' : `the ${layerName(id)}`;
  return h(
    'div',
    {key: 'selected', class: 'selected-tools'},
    layerName(id) && toolRow(),
    id === 'gray' && grayField(),
    has &&
      h(
        'div',
        {class: 'row'},
        !state.redraw && button('Draw anew', () => change({redraw: true, corners: []}), 'quiet'),
        id === 'card' && button('Turn it', turnCard, 'quiet'),
        button('Take away', () => removeMark(id), 'quiet', {'aria-label': `Take away the mark of ${name}`}),
      ),
  );
}

const otherLight = () =>
  h(
    'button',
    {
      key: 'swap',
      type: 'button',
      class: 'mark swap',
      onclick: () => select(state.selected === 'gray' ? 'card' : 'gray'),
    },
    state.selected === 'gray' ? 'Use a card' : 'No card? Gray patch',
  );

export function markRow() {
  const gray = state.marks.gray || state.selected === 'gray';
  return h(
    'div',
    {class: 'marks', role: 'group', 'aria-label': 'What is marked'},
    gray ? markButton('gray', 'Gray patch') : markButton('card', 'Card'),
    placedCups().map((cup) => markButton(layerId(cup.layer), capital(cup.layer))),
    !state.marks.card && !state.marks.gray && otherLight(),
  );
}

/** Which of the baits found is marked, all of them at once, and the way they lie. */
export function baitRow() {
  const {baits, bait} = foundHere();
  const marked = state.work.cups.filter((cup) => hasMark(layerId(cup.layer))).length;
  const step = (by) => chooseBait((bait + by + baits.length) % baits.length);
  const many = baits.length > 1 && bait !== null;
  if (!many && marked < 2) return null;
  return h(
    'div',
    {key: 'baits', class: 'row bait-row'},
    many && [
      button('\u2039', () => step(-1), 'quiet step', {'aria-label': 'The bait before'}),
      h('span', {role: 'status'}, `Bait ${bait + 1} of ${baits.length}`),
      button('\u203a', () => step(1), 'quiet step', {'aria-label': 'The next bait'}),
      !carried() &&
        button(`Read all ${baits.length} into the cups`, readAllIntoCups, 'quiet', {
          disabled: state.busy === 'measured',
          'data-do': 'measured-all',
        }),
    ],
    marked >= 2 && button('Turn it: back and belly swap', turnLayers, 'quiet', {'data-do': 'turn'}),
  );
}

/** What is to be known of the bait that is marked, as which side is its back. */
export function baitNotes() {
  const {baits, bait} = foundHere();
  return bait !== null && notes(baits[bait].notes, 'soft');
}
