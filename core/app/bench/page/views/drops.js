/** Drops to be tapped off in groups of five, so that a lost count is never guessed. */
import {h} from '../lib/dom.js';
import {cssColor} from '../lib/color.js';
import {addsClear, plural, tidy, volume} from '../lib/words.js';
import {allIn, clearIsIn, countedOf, tapClear, tapDrop, toCount} from '../bench/count.js';
import {state, units} from '../bench/state.js';
import {button} from './parts.js';

const SMALL = 'translate(12 17.500) scale(.55) translate(-12 -15.500)';
const TICK = 'M8 17l3 3 5.500-6';
const DROP = 'M12 1.500C16 8 21 11.500 21 17a9 9 0 0 1-18 0C3 11.500 8 8 12 1.500z';

const bottleColor = (id) => {
  const swatches = state.boot.shelf.bottles.find((b) => b.id === id)?.swatches;
  return swatches?.length ? cssColor(swatches[swatches.length - 1].lab) : '#888888';
};

/** One that is in is full and ticked. */
function dropDrawing(color, isIn) {
  return h(
    'svg',
    {viewBox: '0 0 24 27', 'aria-hidden': 'true', focusable: 'false'},
    isIn
      ? h('path', {d: DROP, fill: color})
      : h('path', {class: 'small', d: DROP, fill: color, transform: SMALL}),
    h('path', {class: 'rim', d: DROP}),
    isIn && ['tick-edge', 'tick'].map((name) => h('path', {class: name, d: TICK})),
  );
}

function dropButton(cup, proposal, bottle, n, whole) {
  const counted = countedOf(cup, proposal, bottle);
  const isIn = counted >= n;
  const share = n % 1 === 0 ? '' : n % 1 === 0.5 ? 'half a drop, ' : 'part of a drop, ';
  return h(
    'button',
    {
      type: 'button',
      key: `${n}`,
      class: 'drop',
      'aria-pressed': String(isIn),
      'aria-label': `${share}${tidy(n)} of ${tidy(whole)} ${bottle}`,
      'data-drop': `${bottle} ${n}`,
      onclick: () => tapDrop(cup, proposal, bottle, n),
    },
    dropDrawing(bottleColor(bottle), isIn),
    share && h('span', {class: 'half', 'aria-hidden': 'true'}, n % 1 === 0.5 ? '\u00bd' : '\u2026'),
  );
}

/** 1, 2, 3 ... and what is over, in fives. @param {number} whole */
function fives(whole) {
  const list = Array.from({length: Math.ceil(whole)}, (_, i) => Math.min(i + 1, whole));
  return Array.from({length: Math.ceil(list.length / 5)}, (_, i) => list.slice(5 * i, 5 * i + 5));
}

function bottleRow(cup, proposal, [bottle, whole]) {
  const counted = countedOf(cup, proposal, bottle);
  const color = bottleColor(bottle);
  return h(
    'div',
    {class: 'count-row', key: bottle, role: 'group', 'aria-label': `${bottle}, ${plural(Number(tidy(whole)), 'drop')}`},
    h(
      'h4',
      {},
      h('i', {style: {background: color}}),
      h('span', {}, bottle, h('span', {class: 'figures'}, ` ${tidy(counted)} of ${tidy(whole)} in`)),
    ),
    button(counted === whole ? 'All are in' : 'All in', () => allIn(cup, proposal, bottle), 'quiet small', {
      disabled: counted === whole,
      'aria-label': `${counted === whole ? 'All are in' : 'All in'}: ${plural(Number(tidy(whole)), 'drop')} of ${bottle}`,
      'data-all-in': bottle,
    }),
    h(
      'div',
      {class: 'fives'},
      fives(whole).map((five) =>
        h(
          'div',
          {class: 'five', key: `to ${five.at(-1)}`},
          five.map((n) => dropButton(cup, proposal, bottle, n, whole)),
          whole > 5 && h('span', {class: 'figures', 'aria-hidden': 'true'}, tidy(five.at(-1))),
        ),
      ),
    ),
  );
}

function clearRow(cup, proposal) {
  if (!addsClear(proposal)) return null;
  return h(
    'label',
    {class: 'check', key: 'clear'},
    h('input', {
      type: 'checkbox',
      checked: clearIsIn(cup, proposal),
      onchange: () => tapClear(cup, proposal),
    }),
    `${volume(proposal.add_clear_floz, units())} of clear base is in`,
  );
}

export const dropCount = (cup, proposal) =>
  h(
    'div',
    {class: 'count', key: 'count'},
    toCount(proposal).map((entry) => bottleRow(cup, proposal, entry)),
    clearRow(cup, proposal),
  );
