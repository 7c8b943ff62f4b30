/** What is in a chip, chosen without a keyboard: bottles as swatches, loading and thickness by steps. */
import {h} from '../lib/dom.js';
import {tidy} from '../lib/words.js';
import {
  bottles,
  chooseBottle,
  chosen,
  hand,
  now,
  setThen,
  shownParts,
  shownThickness,
  startMixing,
  stepLoading,
  stepThickness,
} from '../bench/chips.js';
import {button, field, swatch} from './parts.js';

/** A bottle's color as its middle chip has it. */
const colorOf = (bottle) => bottle.swatches?.[Math.min(1, (bottle.swatches?.length ?? 1) - 1)]?.lab ?? null;

function bottleButton(id, title, lab) {
  const has = shownParts().some((part) => part.bottle === id);
  return h(
    'button',
    {
      key: `b-${id}`,
      type: 'button',
      class: 'bottle-swatch' + (has ? ' chosen' : ''),
      'aria-pressed': String(has),
      'data-bottle': id || 'clear',
      onclick: () => chooseBottle(id),
    },
    swatch(lab, lab ? 'block' : 'block none'),
    h('span', {}, title),
  );
}

const stepper = (name, value, step, attributes) =>
  h(
    'div',
    {class: 'stepper', role: 'group', 'aria-label': name, ...attributes},
    button('\u2212', () => step(-1), 'quiet', {'aria-label': `Less: ${name}`}),
    h('span', {role: 'status'}, value),
    button('+', () => step(1), 'quiet', {'aria-label': `More: ${name}`}),
  );

const THEN = [
  ['stronger', 'the same bottle, stronger'],
  ['next', 'the next bottle'],
  ['same', 'the same again'],
];

const thenRow = () =>
  field('Along the row comes', {options: THEN, value: hand.then, onchange: (e) => setThen(e.target.value)});

/** Of the bottle chosen last; clear base has none. */
function loadingSteps(part) {
  if (!part.bottle) return null;
  const words = hand.mixing ? 'Now the other bottle' : 'Mix in';
  const value = `${tidy(part.loading)} per fl oz`;
  return [
    stepper(`drops per fl oz of ${part.bottle}`, value, stepLoading, {'data-step': 'loading'}),
    button(words, startMixing, hand.mixing ? '' : 'quiet', {'data-do': 'mix'}),
  ];
}

export function chipPalette() {
  const parts = shownParts();
  const last = parts.at(-1);
  const words = parts.map((part) => (part.bottle ? `${part.bottle} ${tidy(part.loading)}` : 'clear base')).join(' + ');
  const chip = now.edit ?? chosen()[0];
  return h(
    'div',
    {key: 'palette', class: 'palette', role: 'group', 'aria-label': `What is in ${chip ? 'this' : 'the next'} chip`},
    h('p', {class: 'palette-now', role: 'status'}, chip ? 'This chip: ' : 'Next tap: ', h('strong', {}, words)),
    h(
      'div',
      {class: 'bottle-row'},
      bottles().map((b) => bottleButton(b.id, b.title || b.id, colorOf(b))),
      bottleButton('', 'clear base', null),
    ),
    h(
      'div',
      {class: 'row'},
      loadingSteps(last),
      stepper('thickness', `${tidy(shownThickness())} mm thick`, stepThickness, {'data-step': 'thickness'}),
      !chip && last.bottle && parts.length === 1 && thenRow(),
    ),
  );
}
