/** The outline that the bait is drawn in, and how much of its height each layer takes. */
import {h} from '../lib/dom.js';
import {capital, tidy} from '../lib/words.js';
import {change, state} from '../bench/state.js';
import {foundHere} from '../bench/marks.js';
import {saveWork} from '../bench/work.js';
import {button, field, note} from './parts.js';

const outlineNow = () => state.work.slab.outline ?? state.boot.outlines.usual;
const save = (part) => saveWork({slab: {...state.work.slab, ...part}});

const sumOf = (shares) => shares.reduce((all, n) => all + n, 0);
const whole = (shares) => Math.abs(sumOf(shares) - 100) < 1;

function saveShares(shares) {
  change({sharesTyped: whole(shares) ? null : shares});
  if (whole(shares)) save({shares: shares.map((n) => Math.round(100 * n) / 100)});
}

/** The percentages of the layers; alike where nobody has said. @returns {number[]} */
const sharesNow = () => state.work.slab.shares ?? state.work.cups.map(() => 100 / state.work.cups.length);
const sharesText = (shares) => shares.map((n) => String(Math.round(n))).join(' : ');

export function shareFields() {
  const {cups} = state.work;
  const shares = state.sharesTyped ?? sharesNow();
  const onchange = (event) => {
    const inputs = [...event.target.closest('[data-shares]').querySelectorAll('input')];
    saveShares(inputs.map((input) => Number(input.value)));
  };
  if (cups.length < 2) return null;
  return h(
    'fieldset',
    {class: 'row end shares', 'data-shares': ''},
    h('legend', {}, 'How much of the bait each layer is'),
    cups.map((cup, i) =>
      field(`${capital(cup.layer)}, %`, {
        key: cup.layer,
        type: 'number',
        inputmode: 'decimal',
        min: 1,
        max: 100,
        step: 'any',
        value: tidy(shares[i]),
        onchange,
      }),
    ),
    state.sharesTyped && note(`These add up to ${tidy(sumOf(shares))}%; the whole bait is 100%.`, 'wide-line'),
  );
}

/** What the bait of the photo that is marked shows. */
export function sharesOfPhoto() {
  const found = foundHere();
  const bait = found.baits[found.bait];
  if (bait?.shares?.length !== state.work.cups.length) return null;
  const shares = (bait.turned ? [...bait.shapes.keys()].reverse() : [...bait.shapes.keys()]).map((i) => 100 * bait.shares[i]);
  return button(`As in the photo, ${sharesText(shares)}`, () => saveShares(shares), 'quiet small', {key: 'from-photo'});
}

export const lookForm = () =>
  h(
    'details',
    {class: 'slab', key: 'look'},
    h('summary', {}, `Drawn as a ${outlineNow()}, layers ${sharesText(sharesNow())}`),
    h(
      'div',
      {class: 'row'},
      field('Outline', {
        options: state.boot.outlines.names.map((name) => [name, name]),
        value: outlineNow(),
        onchange: (event) => save({outline: event.target.value}),
      }),
    ),
    shareFields(),
    sharesOfPhoto(),
  );
