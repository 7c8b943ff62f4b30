/** What to mark, and with what. */
import {h} from '../lib/dom.js';
import {icon} from '../lib/icons.js';
import {capital} from '../lib/words.js';
import {change, state} from '../bench/state.js';
import {hasMark, layerId, layerName, removeMark, select, setGrayLevel, turnCard} from '../bench/marks.js';
import {CORNER_NAMES} from '../photo/overlay.js';
import {button, field} from './parts.js';

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

function toolRow() {
  return h(
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
}

function cardTools() {
  return [
    h(
      'ol',
      {class: 'corners soft'},
      CORNER_NAMES.map((name) => h('li', {}, name)),
    ),
    hasMark('card') &&
      h(
        'div',
        {class: 'row'},
        button('Turn the order', () => turnCard(false), 'quiet'),
        button('Mirror the order', () => turnCard(true), 'quiet'),
      ),
  ];
}

export function selectedTools() {
  const id = state.selected;
  if (!id) return null;
  const name = id === 'card' ? 'the card' : id === 'gray' ? 'the gray patch' : `the ${layerName(id)}`;
  return h(
    'div',
    {key: 'selected', class: 'selected-tools'},
    layerName(id) && toolRow(),
    id === 'card' && cardTools(),
    id === 'gray' &&
      field('How light the gray is, 0 to 1', {
        type: 'number',
        inputmode: 'decimal',
        min: 0.02,
        max: 1,
        step: 'any',
        value: state.marks.gray?.y ?? 0.18,
        onchange: (e) => setGrayLevel(Number(e.target.value) || 0.18),
      }),
    h(
      'div',
      {class: 'row'},
      hasMark(id) && !state.redraw && button('Draw anew', () => change({redraw: true, corners: []}), 'quiet'),
      hasMark(id) &&
        button('Take away', () => removeMark(id), 'quiet', {'aria-label': `Take away the mark of ${name}`}),
    ),
  );
}

export function markRow() {
  const light =
    state.marks.gray || state.selected === 'gray'
      ? markButton('gray', 'Gray patch')
      : markButton('card', 'Card');
  return h(
    'div',
    {class: 'marks', role: 'group', 'aria-label': 'What is marked'},
    light,
    state.work.cups.map((cup) => markButton(layerId(cup.layer), capital(cup.layer))),
    !state.marks.card &&
      !state.marks.gray &&
      h(
        'button',
        {
          key: 'swap',
          type: 'button',
          class: 'mark swap',
          onclick: () => select(state.selected === 'gray' ? 'card' : 'gray'),
        },
        state.selected === 'gray' ? 'Use a card' : 'No card? Gray patch',
      ),
  );
}
