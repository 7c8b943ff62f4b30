/** The heart of the screen: a cup a layer, what to add to it, and how far that still is. */
import {h} from '../lib/dom.js';
import {cssColor, farWords} from '../lib/color.js';
import {icon} from '../lib/icons.js';
import {
  addParts,
  addText,
  capital,
  dropsParts,
  fromUnit,
  plural,
  seeThroughWords,
  sentence,
  tenth,
  tidy,
  toUnit,
  unitName,
  volume,
} from '../lib/words.js';
import {change, layerOf, state, units} from '../bench/state.js';
import {adviceFor, waitsForAdvice} from '../bench/advice.js';
import {bestAdvice} from '../bench/next-step.js';
import {pour, saveCup, saveWork} from '../bench/work.js';
import {cupDrawing} from './cup-drawing.js';
import {button, field, formValues, note, notes, swatch} from './parts.js';

const bottleColor = (id) => {
  const swatches = state.boot.shelf.bottles.find((b) => b.id === id)?.swatches;
  return swatches?.length ? cssColor(swatches[swatches.length - 1].lab) : '#888888';
};
const hasDrops = (cup) => Object.values(cup.drops).some((n) => n > 0);
const doubt = (cup) => cup.measured_uncertainty_de00 ?? 0;

/** A list whose entries are not broken where a line ends. @param {string[]} parts */
const unbroken = (parts) =>
  parts.map((part, i) => [h('span', {class: 'part'}, i < parts.length - 1 ? `${part},` : part), ' ']);

/* ---- what a cup holds, to be corrected by hand */

const editable = () => state.boot.shelf.bottles.filter((b) => b.known !== false);

function saveEdit(cup, event) {
  const values = formValues(event);
  const drops = {...cup.drops}; // a bottle that is no longer on the shelf stays in it
  for (const bottle of editable()) {
    const n = Number(values[`drops ${bottle.id}`]);
    drops[bottle.id] = n > 0 ? n : 0;
  }
  saveCup(cup.layer, {
    drops,
    volume_floz: fromUnit(Number(values.volume), units()),
    capacity_floz: fromUnit(Number(values.capacity), units()),
  });
  change({editing: null});
}

function editForm(cup) {
  const unit = unitName(units());
  const bottles = editable();
  const number = {type: 'number', inputmode: 'decimal', min: 0, step: 'any', required: true};
  return h(
    'form',
    {key: 'edit', class: 'edit', onsubmit: (event) => saveEdit(cup, event)},
    h(
      'fieldset',
      {},
      h('legend', {}, 'Drops in it'),
      h(
        'div',
        {class: 'drops'},
        bottles.map((b) =>
          field(
            b.id,
            {
              key: b.id,
              type: 'number',
              inputmode: 'decimal',
              min: 0,
              max: 500,
              step: 'any',
              name: `drops ${b.id}`,
              value: cup.drops[b.id] ?? '',
              placeholder: '0',
            },
            swatch(b.swatches?.at(-1)?.lab),
          ),
        ),
      ),
    ),
    h(
      'div',
      {class: 'row'},
      field(`Clear base in it, ${unit}`, {
        ...number,
        name: 'volume',
        value: toUnit(cup.volume_floz, units()),
      }),
      field(`It holds, ${unit}`, {...number, name: 'capacity', value: toUnit(cup.capacity_floz, units())}),
    ),
    h(
      'div',
      {class: 'row'},
      h('button', {type: 'submit'}, 'Keep'),
      button('Leave as it was', () => change({editing: null}), 'quiet'),
    ),
  );
}

/* ---- what to add */

function nowLine(cup, advice) {
  const target = layerOf(cup.layer)?.target;
  if (!target)
    return h(
      'p',
      {class: 'aimless'},
      'Nothing to aim for yet: mark it on a photo, or go to ',
      h('a', {href: '#targets'}, 'Targets'),
      '.',
    );
  if (waitsForAdvice(cup)) return h('p', {class: 'now soft'}, 'Working out what to add.');
  if (!advice || (!cup.measured && !hasDrops(cup))) return null;
  const words = farWords(advice.now_de00, advice.now, target, cup.measured ? doubt(cup) : 0);
  return h(
    'p',
    {class: 'now'},
    swatch(advice.now),
    h(
      'span',
      {},
      `${cup.measured ? 'Measured' : 'By its drops'}: ${words} `,
      h('span', {class: 'figures'}, tenth(advice.now_de00)),
    ),
  );
}

function thenLine(proposal, target) {
  return h(
    'p',
    {class: 'then'},
    swatch(proposal.predicted),
    h(
      'span',
      {},
      `then ${farWords(proposal.predicted_de00, proposal.predicted, target)} `,
      h('span', {class: 'figures'}, tenth(proposal.predicted_de00)),
      h(
        'span',
        {class: 'soft'},
        `, ${seeThroughWords(proposal.predicted_see_through ?? proposal.see_through ?? 1)}`,
      ),
    ),
  );
}

const pluginTitle = (id) => state.boot.plugins?.find((p) => p.id === id)?.title ?? id;

function pourButton(cup, proposal, text, kind = '') {
  const words = addText(proposal, units());
  return button(text, () => pour(cup.layer, proposal, words), kind, {
    disabled: state.busy === `pour:${cup.layer}`,
    'aria-label': `${text}: ${words} into the ${cup.layer} cup`,
    'data-pour': cup.layer,
  });
}

function otherWays(cup, list, target) {
  if (list.length === 0) return null;
  return h(
    'details',
    {key: 'ways', class: 'ways'},
    h('summary', {}, plural(list.length, 'other way')),
    list.map((p, i) =>
      h(
        'div',
        {class: 'way', key: `${i}`},
        h('p', {class: 'add small'}, unbroken(addParts(p, units()))),
        thenLine(p, target),
        h('p', {class: 'soft'}, sentence(p.words), ' ', h('em', {}, `(${pluginTitle(p.plugin)})`)),
        notes(p.warnings),
        pourButton(cup, p, 'Poured this instead', 'quiet'),
      ),
    ),
  );
}

/** Why nothing is to be added; the headline says "leave it" already. */
function leaveWords(advice) {
  const words = advice.advice.find((p) => !addText(p, units()))?.words;
  return words
    ? sentence(capital(words.replace(/^leave it: /i, '')))
    : 'Nothing that can be added brings it nearer.';
}

function adviceBlock(cup, advice) {
  const target = layerOf(cup.layer)?.target;
  if (!target || !advice) return null;
  const best = bestAdvice(cup.layer);
  const others = advice.advice.filter((p) => p !== best && addText(p, units()));
  if (!best) {
    return [
      h('p', {key: 'add', class: 'add'}, 'Leave it'),
      h('p', {key: 'why', class: 'why soft'}, leaveWords(advice)),
      otherWays(cup, others, target),
    ];
  }
  return [
    h('p', {key: 'add', class: 'add'}, unbroken(addParts(best, units()))),
    thenLine(best, target),
    h('p', {key: 'why', class: 'why soft'}, sentence(best.words)),
    notes(best.warnings),
    pourButton(cup, best, 'Poured it'),
    otherWays(cup, others, target),
  ];
}

function holdsWords(cup) {
  const base = volume(cup.volume_floz, units());
  const [first, ...others] = dropsParts(cup.drops);
  return first
    ? [unbroken([capital(first), ...others]), h('span', {class: 'part'}, `in ${base}`)]
    : [h('span', {class: 'part'}, `${base} of clear base,`), ' ', h('span', {class: 'part'}, 'no drops yet')];
}

function cupCard(cup) {
  const advice = adviceFor(cup);
  const target = layerOf(cup.layer)?.target ?? null;
  const best = bestAdvice(cup.layer);
  const known = cup.measured || hasDrops(cup);
  const last = state.advice[cup.layer]; // drawn, but faded, until the next is there
  const now = known ? (last?.now ?? cup.measured ?? state.predicted[cup.layer]?.lab ?? null) : null;
  const editing = state.editing === cup.layer;
  return h(
    'article',
    {
      class: editing ? 'cup editing' : 'cup',
      key: cup.layer,
      id: `cup-${cup.layer}`,
      'aria-label': `${cup.layer} cup`,
      'aria-busy': waitsForAdvice(cup) ? 'true' : null,
    },
    cupDrawing({
      now: now ?? [92, 0, 3],
      target,
      share: cup.volume_floz / Math.max(cup.capacity_floz, 0.01),
      drops: best ? Object.keys(best.add).map(bottleColor) : [],
    }),
    h(
      'div',
      {class: 'cup-words'},
      h('h3', {}, capital(cup.layer)),
      h(
        'p',
        {class: 'has'},
        holdsWords(cup),
        ' ',
        h(
          'button',
          {
            type: 'button',
            class: 'inline',
            'aria-expanded': String(editing),
            onclick: () => change({editing: editing ? null : cup.layer}),
          },
          icon('edit'),
          'Change',
          h('span', {class: 'unseen'}, ` what is in the ${cup.layer} cup`),
        ),
      ),
      editing ? editForm(cup) : [nowLine(cup, advice), adviceBlock(cup, advice)],
    ),
  );
}

/* ---- how the plastic is looked at */

const BACKINGS = [
  ['gray', 'something gray'],
  ['white', 'something white'],
  ['black', 'something dark'],
];

function slabForm() {
  const slab = state.work.slab ?? {thickness_mm: 10, over: 'gray'};
  const save = (part) => saveWork({slab: {...slab, ...part}});
  return h(
    'details',
    {class: 'slab'},
    h(
      'summary',
      {},
      `Looked at ${tidy(slab.thickness_mm)} mm thick over ${typeof slab.over === 'number' ? `reflectance ${slab.over}` : slab.over}`,
    ),
    h(
      'div',
      {class: 'row'},
      field('Thickness, mm', {
        type: 'number',
        inputmode: 'decimal',
        min: 0.5,
        max: 100,
        step: 'any',
        value: slab.thickness_mm,
        onchange: (e) => Number(e.target.value) > 0 && save({thickness_mm: Number(e.target.value)}),
      }),
      field('Lying over', {
        options: BACKINGS,
        value: slab.over,
        onchange: (e) => save({over: e.target.value}),
      }),
    ),
  );
}

export function cupsSection() {
  return h(
    'section',
    {key: 'cups', 'aria-labelledby': 'cups-title'},
    h(
      'h2',
      {id: 'cups-title', tabindex: -1},
      'The cups ',
      h('small', {}, 'filled: color now; rim: color aimed for; the number: how far off, 1 is hardly seen'),
    ),
    note(state.adviceError, 'bad'),
    state.boot.shelf.warning && note(`${state.boot.shelf.warning} Fit your own under Bottles.`),
    h('div', {class: `cups n${Math.min(4, state.work.cups.length)}`}, state.work.cups.map(cupCard)),
    notes(state.adviceNotes.filter((text) => text !== state.boot.shelf.warning)),
    slabForm(),
    h('p', {class: 'note'}, 'Plastisol is hot: gloves, eyes, fresh air. Follow the maker\u2019s sheet.'),
  );
}
