/** What the photo at hand shows of a swirl: share and color of each, beside what the pattern wants. */
import {cssColor} from '../lib/color.js';
import {h} from '../lib/dom.js';
import {capital, percent, tidy} from '../lib/words.js';
import {state} from '../bench/state.js';
import {readIntoCups} from '../bench/doubts.js';
import {readHere} from '../bench/drizzle.js';
import {aimForSwirl, swirlColors, swirlHere} from '../bench/swirl.js';
import {button, note, notes, swatch} from './parts.js';

const bar = (list, name) =>
  h(
    'div',
    {class: `share-bar ${name}`, 'aria-hidden': 'true'},
    list.map(({lab, share}, i) => h('i', {key: `${i}`, class: 'swatch', style: {background: cssColor(lab), 'flex-grow': String(share)}})),
  );

function wantedBar(list) {
  if (!list.every(({layer}) => layer.share !== null && layer.target)) return null;
  return bar(
    list.map(({layer}) => ({lab: layer.target, share: layer.share})),
    'wanted',
  );
}

function colorRow({layer, color}) {
  const wanted = layer.share === null ? '' : `, ${percent(layer.share)} wanted`;
  const off = color.target_de00 ?? null;
  return h(
    'li',
    {key: layer.name, class: 'reading'},
    swatch(color.lab),
    h(
      'div',
      {},
      h('strong', {}, capital(layer.name)),
      ` ${percent(color.share)} of the bait${wanted} `,
      h('span', {class: 'figures'}, `doubt ${percent(color.share_doubt)}`),
      h(
        'div',
        {class: 'soft'},
        off === null ? 'no target yet' : `its color is ${tidy(off.toFixed(1))} from the target, doubt ${tidy(color.uncertainty_de00.toFixed(1))}`,
      ),
    ),
  );
}

const isAimed = () => swirlColors().every(({layer}) => layer.target);

export function swirlPanel() {
  const list = swirlColors();
  const {error} = state.swirl;
  if (!swirlHere()) return error ? note(error, 'bad') : h('p', {class: 'soft', key: 'swirl', role: 'status'}, 'Reading the swirl.');
  const baits = swirlHere().baits.length;
  return h(
    'div',
    {key: 'swirl', class: 'swirl', 'data-swirl': ''},
    bar(
      list.map(({color}) => ({lab: color.lab, share: color.share})),
      'read',
    ),
    wantedBar(list),
    h('p', {class: 'soft'}, `${wantedBar(list) ? 'Above what the photo shows, below what is wanted' : 'What the photo shows'}${baits > 1 ? `, the mean of ${baits} baits` : ''}.`),
    h('ul', {class: 'readings', 'aria-label': 'Colors of the swirl'}, list.map(colorRow)),
    notes(swirlHere().warnings),
    notes(swirlHere().baits[0]?.warnings),
    h(
      'div',
      {class: 'row'},
      button('Aim for these colors', aimForSwirl, 'quiet', {disabled: state.busy === 'targets', 'data-do': 'aim-swirl'}),
      isAimed() &&
        button(readHere() ? 'Read into the cups again' : 'Read into the cups', readIntoCups, 'quiet', {
          disabled: state.busy === 'measured',
          'data-do': 'measured',
        }),
    ),
  );
}
