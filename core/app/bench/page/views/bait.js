/** The bait as the cups are and as they will be, over a light and a dark bottom, and what lies where its layers meet. */
import {h} from '../lib/dom.js';
import {capital, percent, sentence} from '../lib/words.js';
import {state} from '../bench/state.js';
import {hasDrops, waitsForAdvice} from '../bench/advice.js';
import {lookForm} from './bait-look.js';
import {note, notes, swatch} from './parts.js';

/** How see-through each layer is, where more than its color is known. */
const sayLayers = (layers) =>
  layers
    .filter((layer) => !layer.estimated)
    .map((layer) => `${layer.name} ${layer.clearness}`)
    .join(', ') || 'estimated from the colors alone';

/** From one layer through its blend to the next: colors that touch. */
function strip(blend, layers) {
  const colors = [layers[0], ...blend.steps, layers[1]];
  return h(
    'div',
    {class: 'blend-colors', 'aria-hidden': 'true'},
    colors.map((color) => swatch(color.lab)),
  );
}

function border(blend, layers) {
  const [first, second] = blend.between;
  const steps = blend.steps.map((step) => `${percent(step.share)} ${second}: ${step.words}`).join('; ');
  return h(
    'li',
    {key: `${first} ${second}`, class: 'border'},
    strip(blend, layers),
    h('p', {}, h('strong', {}, `${capital(first)} into ${second}`), h('span', {class: 'soft'}, ` ${steps}`)),
    blend.words.map((words) => note(capital(words))),
    blend.even && h('p', {class: 'even'}, sentence(capital(blend.even.words))),
  );
}

/** What is said of the whole bait: what no border says, and the bench does not say already. */
function said(bait) {
  const known = new Set([...bait.blends.flatMap((blend) => blend.words), state.boot.shelf.warning]);
  return bait.warnings.filter((words) => !known.has(words));
}

function meeting(bait, title) {
  if (bait.blends.length === 0) return null;
  return h(
    'details',
    {class: 'meet', open: bait.blends.some((blend) => blend.words.length > 0)},
    h('summary', {}, 'Where the layers meet', h('span', {class: 'unseen'}, `, ${title.toLowerCase()}`)),
    h(
      'ul',
      {class: 'borders'},
      bait.blends.map((blend, i) => border(blend, bait.layers.slice(i, i + 2))),
    ),
    notes(said(bait).map(capital), 'soft'),
  );
}

function figure(id, title, bait) {
  if (!bait) return null;
  const words = sayLayers(bait.layers);
  return h(
    'figure',
    {key: id, 'data-bait': id},
    h('img', {
      class: 'bait',
      src: `data:image/svg+xml,${encodeURIComponent(bait.svg)}`,
      width: 600,
      height: 400,
      alt: `${title}, over a light and a dark bottom: ${words}`,
    }),
    h('figcaption', {}, h('strong', {}, title), ` ${words}`),
    meeting(bait, title),
  );
}

export function baitSection() {
  const {now, then, error} = state.bait;
  const begun = state.work.cups.some((cup) => hasDrops(cup) || cup.measured);
  return h(
    'section',
    {
      key: 'bait',
      class: 'over',
      'aria-labelledby': 'bait-title',
      'aria-busy': state.work.cups.some(waitsForAdvice) ? 'true' : null,
    },
    h('h2', {id: 'bait-title'}, 'The bait, over a light and a dark bottom'),
    note(error, 'bad'),
    h(
      'div',
      {class: 'baits'},
      figure('now', begun ? 'As the cups are' : 'What you aim for', now) ??
        h('p', {key: 'none', class: 'soft'}, 'It is drawn here once the layers have colors.'),
      figure('then', 'After these drops', then),
    ),
    lookForm(),
  );
}
