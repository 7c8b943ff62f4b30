/** A bait turned in the light: its photos, and how far each layer's color travels between them. */
import {h} from '../lib/dom.js';
import {capital, sentence} from '../lib/words.js';
import {pattern, state, swirled} from '../bench/state.js';
import {addTurned, clearTurned, keepTurned, TURNED_MOST} from '../bench/turn.js';
import {photoInput} from './photo-input.js';
import {button, farLegend, note, notes, swatch} from './parts.js';

const SIDES = ['lamp near', 'lamp aside', 'between'];

const thumb = (id, i) =>
  h(
    'figure',
    {key: id, class: 'turned-photo'},
    h('img', {src: `/api/photos/${id}/preview?side=400`, alt: `Photo ${i + 1} of the bait`}),
    h('figcaption', {class: 'soft'}, `${i + 1}: ${SIDES[i]}`),
  );

function photosRow() {
  const {photos, busy} = state.turn;
  const more = photos.length < TURNED_MOST && !busy;
  const quiet = photos.length > 1 ? 'quiet' : '';
  return h(
    'div',
    {key: 'photos', class: 'turned'},
    photos.length > 0 && h('div', {class: 'turned-photos'}, photos.map(thumb)),
    h(
      'div',
      {class: 'row'},
      more && photoInput('Take a photo', 'photo', true, addTurned, `take ${quiet}`, true),
      more && photoInput(photos.length ? 'Choose another' : 'Choose the photos', 'file', false, addTurned, `choose ${quiet}`, true),
      photos.length > 0 && !busy && button('Begin anew', clearTurned, 'quiet'),
    ),
    busy && h('p', {class: 'soft', role: 'status'}, photos.length > 1 ? 'Comparing the photos.' : 'Taking the photos in.'),
    photos.length === 1 && !busy && h('p', {}, 'Now turn the board until the lamp shines from far aside, and take the next one.'),
  );
}

/* ---- the figure: how far, its doubt, and the target's */

const WIDTH = 320;
const ROOM = 20;
const AXIS = 44;

function gauge(name, travel, against) {
  const target = against?.de00 ?? null;
  const top = Math.max(10, 1.2 * (travel.de00 + travel.doubt_de00), target === null ? 0 : 1.2 * target);
  const x = (v) => ROOM + ((WIDTH - 2 * ROOM) * Math.min(Math.max(v, 0), top)) / top;
  const text = (at, y, words, anchor = 'middle') =>
    h('text', {x: at.toFixed(1), y, 'text-anchor': anchor, fill: 'currentColor', stroke: 'none'}, words);
  const line = (x1, x2, y1, y2, width) =>
    h('line', {x1: x1.toFixed(1), x2: x2.toFixed(1), y1, y2, 'stroke-width': width});
  return h(
    'svg',
    {
      viewBox: `0 0 ${WIDTH} 76`,
      role: 'img',
      class: 'gauge',
      'font-size': '13',
      stroke: 'currentColor',
      fill: 'none',
      'aria-label': `The ${name} travels by ${travel.de00.toFixed(1)}, doubt ${travel.doubt_de00.toFixed(1)}${target === null ? '' : `; the target by ${target.toFixed(1)}`}`,
    },
    line(x(0), x(top), AXIS, AXIS, 1),
    target !== null && line(x(target), x(target), AXIS - 12, AXIS + 12, 2),
    line(x(travel.de00 - travel.doubt_de00), x(travel.de00 + travel.doubt_de00), AXIS, AXIS, 7),
    h('circle', {cx: x(travel.de00).toFixed(1), cy: AXIS, r: 7, fill: 'currentColor'}),
    text(x(travel.de00), AXIS - 14, travel.de00.toFixed(1)),
    text(x(0), AXIS + 24, '0', 'start'),
    text(x(top), AXIS + 24, top.toFixed(0), 'end'),
    target !== null && text(x(target), AXIS + 26, 'target'),
  );
}

function hueText({hue_deg: hue, hue_doubt_deg: doubt}) {
  if (hue === null) return 'too gray for a hue';
  return `hue turns by ${Math.abs(Math.round(hue))}\u00b0, doubt ${Math.round(doubt)}\u00b0`;
}

const VERDICTS = {travels: 'travels', steady: 'does not travel', unclear: 'can\u2019t be judged'};

function layerSection(layer) {
  const {travel, against} = layer;
  const known = travel.de00 !== null;
  return h(
    'section',
    {key: layer.name, 'data-layer-turned': layer.name, class: 'turned-layer'},
    h('h3', {}, `${capital(layer.name)}: ${VERDICTS[travel.verdict]}`),
    h(
      'div',
      {class: 'turned-colors', 'aria-hidden': 'true'},
      layer.readings.map((r, i) => h('span', {key: `${i}`}, swatch(r.lab, 'block'))),
    ),
    known && gauge(layer.name, travel, against),
    h('p', {}, sentence(travel.words)),
    known && h('p', {class: 'soft'}, capital(hueText(travel))),
    against?.words && h('p', {}, sentence(against.words)),
    layer.readings.map((r) => notes(r.warnings, 'soft')),
  );
}

function keepRow() {
  const {answer, busy} = state.turn;
  if (!answer.layers.some((layer) => layer.travel.verdict !== 'unclear')) return null;
  const {batch, batch_name: name} = state.work;
  return h(
    'div',
    {key: 'keep', class: 'row'},
    batch &&
      button(`Keep with batch ${name}`, () => keepTurned({batch}, `Batch ${name} now has this travel.`), '', {
        disabled: busy,
        'data-do': 'keep-turn',
      }),
    button('Aim for this travel', () => keepTurned({target: true}, 'This travel is now what you aim for.'), 'quiet', {
      disabled: busy,
      'data-do': 'aim-turn',
    }),
  );
}

const nothing = (text) =>
  h(
    'div',
    {key: 'turn', class: 'column'},
    h('section', {}, h('h2', {id: 'view-title', tabindex: -1}, 'Turned in the light'), h('p', {}, text), h('a', {class: 'as-button', href: '#mix'}, 'To the bench')),
  );

export function turnView() {
  if (!state.work || !pattern()) return nothing('Put a pattern on the bench first.');
  if (swirled()) return nothing('A swirl has no layers that could be turned.');
  const {answer, error} = state.turn;
  return h(
    'div',
    {key: 'turn', class: 'column'},
    h(
      'section',
      {key: 'head'},
      h('h2', {id: 'view-title', tabindex: -1}, 'Turned in the light'),
      h(
        'p',
        {class: 'soft'},
        'How far a pearl\u2019s color travels: one bait and the card, the camera still. Once with the lamp nearly mirrored in the bait, once with the board turned until it shines from far aside.',
      ),
      photosRow(),
      note(error, 'bad'),
    ),
    answer &&
      h('section', {key: 'answer'}, notes(answer.warnings), h('div', {class: 'turned-layers'}, answer.layers.map(layerSection)), keepRow(), farLegend()),
  );
}
