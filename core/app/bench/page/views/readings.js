/** What is read from the photo, and what it can be used for. */
import {h} from '../lib/dom.js';
import {capital, percent, sentence, tidy} from '../lib/words.js';
import {state} from '../bench/state.js';
import {aimForThese, readIntoCups, readLayers} from '../bench/doubts.js';
import {carried} from '../bench/marks.js';
import {settledReading} from '../bench/reading.js';
import {button, note, notes, swatch} from './parts.js';

export function lightLine() {
  const {light, error} = state.light;
  if (error) return h('p', {class: 'note bad', key: 'light'}, error);
  if (!light) return h('p', {class: 'soft', key: 'light'}, 'Light: not read yet.');
  if (!state.marks.card && !state.marks.gray)
    return h(
      'p',
      {class: 'note', key: 'light'},
      'No card is marked, so these are the colors as the camera made them, not the bait\u2019s own.',
    );
  const off = light.left_out_de00?.mean;
  const good = off === null || off === undefined ? '' : `, off by about ${off.toFixed(1)}`;
  return h(
    'div',
    {key: 'light'},
    h(
      'p',
      {class: 'soft'},
      `Light: ${state.marks.card ? `card of ${light.patches} patches${good}` : 'one gray patch; a card is better'}.`,
    ),
    notes(light.warnings),
  );
}

function sharesText(shares) {
  const list = ['gloss', 'flake', 'shadow', 'clipped']
    .filter((k) => shares[k] >= 0.005)
    .map((k) => `${k} ${percent(shares[k])}`);
  return list.length ? `set aside: ${list.join(', ')}` : 'nothing set aside';
}

/** Its specks, and how they stand beside the target's. */
function flakeLine({flake, flake_aim: aim}) {
  if (!flake && !aim) return null;
  return h(
    'div',
    {class: 'flake', 'data-flake': ''},
    (flake || aim?.target) &&
      h('span', {class: 'flake-colors', 'aria-hidden': 'true'}, flake && swatch(flake.lab), aim?.target && swatch(aim.target)),
    h('span', {}, aim ? sentence(aim.words) : 'The color of its flake.'),
  );
}

function readingRow(layer) {
  const entry = state.readings[layer.name];
  const r = entry?.reading;
  if (state.light.error)
    return h(
      'li',
      {key: layer.name, class: 'reading'},
      swatch(null, 'none'),
      h('div', {}, h('strong', {}, capital(layer.name)), ' waits for the card'),
    );
  if (entry?.error)
    return h(
      'li',
      {key: layer.name, class: 'reading'},
      swatch(null, 'none'),
      h('div', {}, h('strong', {}, capital(layer.name)), note(entry.error, 'bad')),
    );
  if (!r)
    return h(
      'li',
      {key: layer.name, class: 'reading'},
      swatch(null, 'none'),
      h('div', {}, h('strong', {}, capital(layer.name)), ' is being read'),
    );
  return h(
    'li',
    {key: layer.name, class: 'reading' + (settledReading(layer) ? '' : ' moving')},
    swatch(r.lab),
    h(
      'div',
      {},
      h('strong', {}, capital(layer.name)),
      ` ${r.words ?? ''} `,
      h('span', {class: 'figures'}, `doubt ${tidy(r.uncertainty_de00.toFixed(1))}`),
      h('div', {class: 'soft'}, sharesText(r.shares)),
      flakeLine(r),
      notes(r.warnings),
    ),
  );
}

export function readings() {
  const order = state.work.cups
    .map((cup) => state.marks.layers.find((l) => l.name === cup.layer))
    .filter(Boolean);
  if (order.length === 0) return null;
  return [h('ul', {key: 'readings', class: 'readings', 'aria-label': 'Readings'}, order.map(readingRow))];
}

export function useRow() {
  if (readLayers().length === 0 || carried()) return null;
  return h(
    'div',
    {key: 'use', class: 'row'},
    button('Aim for these colors', aimForThese, 'quiet', {
      disabled: state.busy === 'targets',
      'data-do': 'targets',
    }),
    button('Read into the cups', readIntoCups, 'quiet', {
      disabled: state.busy === 'measured',
      'data-do': 'measured',
    }),
  );
}
