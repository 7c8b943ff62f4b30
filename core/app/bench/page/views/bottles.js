/** The shelf: each bottle at three loadings, what was learned of it, its drop. */
import {h} from '../lib/dom.js';
import {percent, sentence, tidy} from '../lib/words.js';
import {state} from '../bench/state.js';
import {addBottle, changeBottle, newLot, removeBottle} from '../bench/patterns.js';
import {removeSampleBottles} from '../bench/shop.js';
import {button, field, formValues, note, sure, swatch} from './parts.js';

const ROLES = [
  ['color', 'color'],
  ['brown', 'brown'],
  ['white', 'white'],
  ['black', 'black'],
  ['effect', 'pearl, flake or shift'],
];

/* What is white or shines is told from clear base only over black. */
const BOTH_GROUNDS = ['white', 'effect'];

function strengthWords(b) {
  if (b.known === false) return 'No chips yet: pour some, fit them, and it takes part in advice.';
  if (b.learned) return sentence(b.learned);
  if (b.invented) return 'Invented: its strength is a guess.';
  if (Math.abs((b.strength ?? 1) - 1) < 0.02) return 'Strength as its chips said.';
  return `Runs ${percent(Math.abs(b.strength - 1))} ${b.strength > 1 ? 'stronger' : 'weaker'} than its chips said.`;
}

function loadings(b) {
  return h(
    'ul',
    {class: 'loadings', 'aria-label': `${b.title} at three loadings`},
    b.swatches.map((s, i) =>
      h(
        'li',
        {key: `${i}`},
        BOTH_GROUNDS.includes(b.role) && s.lab_over_black
          ? h(
              'div',
              {class: 'over-both'},
              swatch(s.lab, 'block on-white'),
              swatch(s.lab_over_black, 'block on-black'),
            )
          : swatch(s.lab, 'block'),
        h('span', {}, `${tidy(s.loading)} drops`),
        h('span', {class: 'soft'}, s.see_through_words),
      ),
    ),
  );
}

const tidy3 = (v) => String(Math.round(v * 1000) / 1000);

const nameField = (title) =>
  field('Name', {type: 'text', name: 'title', required: true, maxlength: 60, value: title});

const dropField = (ml) =>
  field('One drop, ml', {
    type: 'number',
    inputmode: 'decimal',
    name: 'drop_ml',
    min: state.boot.shelf.drop_ml.min,
    max: state.boot.shelf.drop_ml.max,
    step: 'any',
    required: true,
    value: tidy3(ml),
  });

function tools(b) {
  const save = (event) => {
    const v = formValues(event);
    changeBottle(b.id, {title: String(v.title).trim(), drop_ml: Number(v.drop_ml)});
  };
  const lot = (event) => {
    const v = formValues(event);
    event.target.reset();
    newLot(b.id, String(v.lot).trim());
  };
  return h(
    'details',
    {},
    h('summary', {}, 'Change', h('span', {class: 'unseen'}, ` ${b.title}`)),
    h(
      'form',
      {class: 'row end', onsubmit: save},
      nameField(b.title),
      dropField(b.drop_ml),
      h('button', {type: 'submit', class: 'quiet'}, 'Keep'),
    ),
    h(
      'p',
      {class: 'soft'},
      `Count the drops in 1 ml, or weigh twenty: most bottles give about ${state.boot.shelf.drop_ml.usual} ml.`,
    ),
    h(
      'form',
      {class: 'row end', onsubmit: lot},
      field('A new lot of it', {
        type: 'text',
        name: 'lot',
        required: true,
        maxlength: 60,
        placeholder: 'lot 2, May',
      }),
      h('button', {type: 'submit', class: 'quiet'}, 'Begin the lot'),
    ),
    button(
      'Take it off the shelf',
      () => sure(`Take ${b.title} off the shelf?`) && removeBottle(b.id),
      'quiet bad',
    ),
  );
}

/** What kind it is, unless its name says so already. */
function roleWords(b) {
  const words = ROLES.find(([role]) => role === b.role)?.[1] ?? b.role;
  return b.role === 'color' || b.title.toLowerCase().includes(words) ? '' : words;
}

function bottleCard(b) {
  return h(
    'article',
    {class: 'bottle', key: b.id, 'aria-label': b.title},
    h(
      'h3',
      {},
      b.title,
      b.invented ? ' (invented) ' : b.sample ? ' (sample) ' : ' ',
      h('small', {}, roleWords(b)),
    ),
    loadings(b),
    h('p', {class: 'soft'}, strengthWords(b), ` One drop: ${tidy3(b.drop_ml)} ml.`),
    tools(b),
  );
}

function addForm() {
  const save = (event) => {
    const v = formValues(event);
    const title = String(v.title).trim();
    const id = title
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-|-$/g, '');
    addBottle({id, title, role: v.role, drop_ml: Number(v.drop_ml)});
  };
  return h(
    'section',
    {key: 'add'},
    h('h2', {}, 'A new bottle'),
    h('p', {class: 'soft'}, 'It gives advice once its chips are fitted.'),
    h(
      'form',
      {key: `add-${state.boot.shelf.bottles.length}`, class: 'row end', onsubmit: save},
      nameField(''),
      field('It is a', {name: 'role', value: 'color', options: ROLES}),
      dropField(state.boot.shelf.drop_ml.usual),
      h('button', {type: 'submit', class: 'quiet'}, 'Put it on the shelf'),
    ),
  );
}

export function bottlesView() {
  const {shelf} = state.boot;
  return h(
    'div',
    {key: 'bottles', class: 'column'},
    h(
      'section',
      {key: 'shelf', 'aria-labelledby': 'view-title'},
      h(
        'div',
        {class: 'head'},
        h(
          'h2',
          {id: 'view-title', tabindex: -1},
          'The shelf ',
          h('small', {}, 'drops per fl oz of clear base, 3 mm thick over white; white and pearl over black, too'),
        ),
        h('a', {class: 'as-button', href: '#bottles/chips'}, 'Fit from chips'),
      ),
      shelf.invented && note('These bottles are invented, to try with. Pour chips of your own and fit them.'),
      shelf.bottles.some((b) => b.sample) &&
        h(
          'div',
          {class: 'row', key: 'sample'},
          note('Bottles marked \u201csample\u201d came with the sample photo of chips. They are not yours.'),
          button('Take the sample\u2019s bottles away', removeSampleBottles, 'quiet', {'data-do': 'no-sample'}),
        ),
      shelf.bottles.length === 0 && h('p', {}, 'The shelf is empty.'),
      h('div', {class: 'bottles'}, shelf.bottles.map(bottleCard)),
    ),
    addForm(),
  );
}
