/** A layered bait as the cups are and as they will be, lying over a light and a dark bottom. */
import {h} from '../lib/dom.js';
import {cssColor, mixLab} from '../lib/color.js';
import {seeThroughWords} from '../lib/words.js';
import {layerOf, state} from '../bench/state.js';
import {bestAdvice, hasDrops, waitsForAdvice} from '../bench/advice.js';

const OUTLINE =
  'M22 74C52 30 176 14 318 48c48 11 84 18 112 12 10-14 28-28 52-32-8 18-10 34-8 48 2 15 8 28 15 36-28-2-47-14-60-29-28-2-64 8-111 21C200 136 66 122 22 74z';
const RIBS = [150, 184, 218, 252, 286, 320, 352, 382];
const SOLID = 0.9; // contrast ratio where none is known
const BLEND = 0.07; // of the bait's height, each side of a border

const known = (layer) => layer.seeThrough !== null && layer.seeThrough !== undefined;

/** Stops of a gradient from back to belly, blended in CIELAB. @param {Array<{lab: number[], seeThrough: number}>} layers */
function stops(layers) {
  const out = [];
  const add = (offset, lab, seeThrough) =>
    out.push(
      h('stop', {
        offset: offset.toFixed(3),
        'stop-color': cssColor(lab),
        'stop-opacity': (0.2 + 0.8 * (seeThrough ?? SOLID)).toFixed(2),
      }),
    );
  layers.forEach((layer, i) => {
    const [from, to] = [i / layers.length, (i + 1) / layers.length];
    add(i === 0 ? 0 : from + BLEND, layer.lab, layer.seeThrough);
    add(i === layers.length - 1 ? 1 : to - BLEND, layer.lab, layer.seeThrough);
    const next = layers[i + 1];
    if (next)
      for (const t of [0.25, 0.5, 0.75])
        add(
          to - BLEND + 2 * BLEND * t,
          mixLab(layer.lab, next.lab, t),
          (layer.seeThrough ?? SOLID) * (1 - t) + (next.seeThrough ?? SOLID) * t,
        );
  });
  return out;
}

function pebbles(dark) {
  const from = dark ? 270 : 0;
  return [
    [40, 20],
    [96, 132],
    [150, 12],
    [214, 138],
    [244, 18],
    [20, 120],
  ].map(([x, y], i) =>
    h('ellipse', {
      class: dark ? 'pebble dark' : 'pebble',
      cx: from + x,
      cy: y,
      rx: 9 + (i % 3) * 4,
      ry: 4 + (i % 2) * 2,
    }),
  );
}

function drawing(id, layers, label) {
  return h(
    'svg',
    {class: 'bait', viewBox: '0 0 520 150', role: 'img', 'aria-label': label},
    h('defs', {}, h('linearGradient', {id, x1: 0, y1: 0, x2: 0, y2: 1}, stops(layers))),
    h('rect', {class: 'bottom-light', x: 0, y: 0, width: 262, height: 150}),
    pebbles(false),
    h('rect', {class: 'bottom-dark', x: 260, y: 0, width: 260, height: 150}),
    pebbles(true),
    h('path', {d: OUTLINE, fill: `url(#${id})`}),
    h('path', {
      class: 'rib',
      d: RIBS.map((x) => `M${x} ${50 + (x > 340 ? 12 : 0)}q6 24 0 ${x > 340 ? 30 : 48}`).join(''),
    }),
    h('circle', {class: 'eye', cx: 62, cy: 62, r: 6}),
  );
}

/** The colors of a cup, or null while nothing is known. */
function colors(cup, later) {
  const advice = state.advice[cup.layer];
  const best = later ? bestAdvice(cup.layer) : null;
  if (best) return {lab: best.predicted, seeThrough: best.predicted_see_through ?? null};
  const drops = hasDrops(cup);
  if (advice?.now && (advice.measured || drops))
    return {lab: advice.now, seeThrough: drops ? advice.see_through : null};
  const predicted = state.predicted[cup.layer];
  return predicted ? {lab: predicted.lab, seeThrough: predicted.see_through} : null;
}

const sayLayers = (cups, layers) =>
  cups
    .map((cup, i) => (known(layers[i]) ? `${cup.layer} ${seeThroughWords(layers[i].seeThrough)}` : ''))
    .filter(Boolean)
    .join(', ');

/** Before anything is in the cups: what they are to become. */
function aims(cup) {
  const layer = layerOf(cup.layer);
  return layer?.target ? {lab: layer.target, seeThrough: layer.see_through} : null;
}

function one(id, list) {
  const cups = state.work.cups;
  const [title, layers] =
    list.map(([name, of]) => [name, cups.map(of)]).find(([, colored]) => colored.every(Boolean)) ?? [];
  if (!layers) return null;
  const words = sayLayers(cups, layers);
  return h(
    'figure',
    {key: id},
    drawing(id, layers, `${title}, over a light and a dark bottom: ${words}`),
    h('figcaption', {}, h('strong', {}, title), ` ${words}`),
  );
}

export function baitSection() {
  return h(
    'section',
    {
      key: 'bait',
      class: 'over',
      'aria-labelledby': 'bait-title',
      'aria-busy': state.work.cups.some(waitsForAdvice) ? 'true' : null,
    },
    h('h2', {id: 'bait-title'}, 'The bait, over a light and a dark bottom'),
    h(
      'div',
      {class: 'baits'},
      one('bait-now', [
        ['As the cups are', (cup) => colors(cup, false)],
        ['What you aim for', aims],
      ]) ?? h('p', {key: 'none', class: 'soft'}, 'It is drawn here once the layers have colors.'),
      state.work.cups.some((cup) => bestAdvice(cup.layer)) &&
        one('bait-then', [['After these drops', (cup) => colors(cup, true)]]),
    ),
  );
}
