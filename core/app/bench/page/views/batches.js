/** Batches of a pattern: a strip of swatches, charts, drift in words; any batch opened again. */
import {h} from '../lib/dom.js';
import {capital, day, dropsText, percent, plural, sentence, volume} from '../lib/words.js';
import {parseShape} from '../lib/shape.js';
import {cornersOf, layerId} from '../bench/marks.js';
import {photoFromServer} from '../bench/photo.js';
import {judgeBatch, loadDrift, openBatch} from '../bench/patterns.js';
import {change, state, units} from '../bench/state.js';
import {layPhoto} from '../bench/work.js';
import {Stage} from '../photo/stage.js';
import {chart} from './chart.js';
import {button, farLegend, field, formValues, note, swatch} from './parts.js';

const NO_BATCH =
  'Pour a pattern, photograph it with the card, and read the photo into the cups: then the batch stands here, and the next ones show whether the color drifts.';

let stage = null;
let shown = '';

function chosenPattern() {
  const wanted = Number(state.route.arg) || state.work?.pattern || state.boot.patterns[0]?.id;
  return state.boot.patterns.find((p) => p.id === wanted) ?? state.boot.patterns[0] ?? null;
}

/** Loads what the view lacks; called when it is gone to. */
export function enterBatches() {
  const p = chosenPattern();
  change({batch: null});
  if (p) loadDrift(p.id);
}

/** A batch that the address names, as a sheet's code does: opens it among those of its pattern. */
export async function enterBatch(id) {
  change({batch: null});
  await openBatch(id);
  if (state.batch?.id !== id) return;
  change({route: {view: 'batches', arg: String(state.batch.pattern)}});
  loadDrift(state.batch.pattern);
}

function batchButton(layer, target, b, i) {
  const off = b.de00_target === null || b.de00_target === undefined ? '' : b.de00_target.toFixed(1);
  const unseen = (text) => h('span', {class: 'unseen'}, text);
  return h(
    'li',
    {key: `${i}`},
    h(
      'button',
      {
        type: 'button',
        class: 'batch' + (b.signal ? ' signal' : ''),
        onclick: () => b.batch && openBatch(b.batch),
        disabled: !b.batch,
      },
      swatch(b.lab, 'block'),
      swatch(target, target ? 'block aim' : 'block aim none'),
      h(
        'span',
        {class: 'batch-words'},
        unseen(`${layer.name}, `),
        off && [h('span', {class: 'figures'}, off), unseen(' from the target, ')],
        h('span', {class: 'soft'}, b.signal ? 'drifting' : day(b.when).replace(/, \d{4}$/, '')),
        unseen('. Open this batch.'),
      ),
    ),
  );
}

/** The newest is the one that is asked about. */
const showNewest = (node) => requestAnimationFrame(() => (node.scrollLeft = node.scrollWidth));

/** How much of the bait a swirl's color has. */
const shares = ({name, shares: {words, svg, batches}}) => [
  h('p', {}, sentence(words)),
  batches.length > 1 &&
    svg &&
    h(
      'div',
      {class: 'chart-scroll', tabindex: 0, role: 'group', 'aria-label': `Chart of the share of the ${name}`, ref: showNewest},
      chart(svg),
    ),
];

function layerStrip(layer) {
  const target = chosenPattern()?.layers.find((l) => l.name === layer.name)?.target ?? null;
  return h(
    'section',
    {key: layer.name, 'aria-label': `Batches of the ${layer.name}`},
    h('h3', {}, capital(layer.name)),
    h('p', {}, sentence(layer.words)),
    layer.batches.length > 0 &&
      h(
        'div',
        {class: 'strip-row'},
        h(
          'div',
          {class: 'strip-name', 'aria-hidden': 'true'},
          h('span', {}, 'poured'),
          h('span', {}, 'aimed for'),
        ),
        h(
          'ol',
          {
            class: 'strip',
            tabindex: 0,
            'aria-label': `Swatches of the ${layer.name}, oldest first`,
            ref: showNewest,
          },
          layer.batches.map((b, i) => batchButton(layer, target, b, i)),
        ),
      ),
    layer.batches.length > 1 &&
      layer.svg &&
      h(
        'div',
        {
          class: 'chart-scroll',
          tabindex: 0,
          role: 'group',
          'aria-label': `Chart of the ${layer.name}`,
          ref: showNewest,
        },
        chart(layer.svg),
      ),
    layer.shares && shares(layer),
    layer.travel?.words && h('p', {}, `Turned in the light: ${layer.travel.words}`),
  );
}

/* ---- one batch again */

async function showBatchPhoto(batch) {
  const key = `${batch.id} ${batch.photo}`;
  if (shown === key) return;
  shown = key;
  stage ??= new Stage({change() {}, drawn() {}, point() {}, select() {}, remove() {}});
  const photo = await photoFromServer(batch.photo);
  const marks = batch.marks ?? {layers: []};
  const list = (marks.layers ?? [])
    .map((l) => ({id: layerId(l.name), label: l.name, shape: parseShape(l.shape)}))
    .filter((m) => m.shape);
  if (marks.card) list.unshift({id: 'card', label: 'Card', corners: cornersOf(marks.card)});
  stage.show({
    photo,
    marks: list,
    selected: null,
    draw: null,
    grid: null,
    classes: null,
    readOnly: true,
    alt: `Photo of the batch ${batch.name ?? ''} with its marks`,
  });
}

function batchCup(cup, i) {
  return h(
    'li',
    {key: `${i}`},
    h('strong', {}, capital(cup.layer)),
    ` ${dropsText(cup.drops)} in ${volume(cup.volume_floz, units())}`,
  );
}

function batchReading(r, i) {
  return h(
    'li',
    {key: `${i}`, class: 'reading'},
    swatch(r.lab),
    h(
      'div',
      {},
      h('strong', {}, capital(r.layer)),
      ' ',
      r.words && `${r.words} `,
      r.share !== undefined && h('span', {class: 'figures'}, `${percent(r.share)} of the bait`),
    ),
  );
}

function batchSection() {
  const {batch} = state;
  if (!batch) return null;
  if (batch.photo) showBatchPhoto(batch);
  const judge = (event) => {
    const v = formValues(event);
    judgeBatch(batch.id, v.good === 'yes', v.note);
  };
  const lay = () => layPhoto(batch.photo, batch.marks).then((done) => done && (location.hash = '#mix'));
  return h(
    'section',
    {key: 'batch', class: 'wide', 'aria-labelledby': 'batch-title'},
    h(
      'div',
      {class: 'head'},
      h(
        'h2',
        {id: 'batch-title', tabindex: -1},
        `${/^\d/.test(batch.name ?? '') ? 'Batch ' : ''}${capital(batch.name || 'Batch')}, ${day(batch.poured ?? '')}`,
      ),
      button('Close', () => change({batch: null}), 'quiet small'),
    ),
    h(
      'div',
      {class: 'batch-open'},
      h(
        'div',
        {},
        batch.photo
          ? stage && [stage.node, h('div', {class: 'under'}, stage.zoom)]
          : note('No photo was kept with this batch.'),
      ),
      h(
        'div',
        {},
        h('ul', {class: 'readings'}, batch.readings.map(batchReading)),
        h('ul', {class: 'plain-list'}, batch.cups.map(batchCup)),
        h(
          'form',
          {class: 'row end', onsubmit: judge},
          field('Called good', {
            name: 'good',
            value: batch.good ? 'yes' : 'no',
            options: [
              ['yes', 'yes'],
              ['no', 'no'],
            ],
          }),
          field('Note', {type: 'text', name: 'note', maxlength: 400, value: batch.note ?? ''}),
          h('button', {type: 'submit', class: 'quiet'}, 'Keep'),
        ),
        batch.photo && state.work && button('Lay its photo and marks on the bench', lay, 'quiet'),
      ),
    ),
  );
}

export function batchesView() {
  const p = chosenPattern();
  if (!p)
    return h(
      'section',
      {key: 'batches'},
      h('h2', {}, 'No batches yet'),
      h('p', {}, NO_BATCH),
      h('a', {class: 'as-button', href: '#mix'}, 'To the bench'),
    );
  const {data, error} = state.drift;
  const empty = data && data.layers.every((l) => l.batches.length === 0);
  return h(
    'div',
    {key: 'batches', class: 'column'},
    h(
      'div',
      {class: 'head', key: 'head'},
      h(
        'h2',
        {id: 'view-title', tabindex: -1},
        `Batches of ${p.name} `,
        h('small', {}, plural(p.batches ?? 0, 'batch', 'batches')),
      ),
      state.boot.patterns.length > 1 &&
        field('Pattern', {
          value: String(p.id),
          options: state.boot.patterns.map((q) => [String(q.id), q.name]),
          onchange: (e) => (location.hash = `#batches/${e.target.value}`),
        }),
    ),
    note(error, 'bad'),
    batchSection(),
    empty &&
      h(
        'section',
        {key: 'none'},
        h('p', {}, `None has been read yet. ${NO_BATCH}`),
        h('a', {class: 'as-button', href: '#mix'}, 'To the bench'),
      ),
    data && !empty && h('div', {class: 'strips', key: 'strips'}, data.layers.map(layerStrip)),
    data && !empty && farLegend(),
    !data && !error && h('p', {class: 'soft'}, 'Looking them up.'),
  );
}
