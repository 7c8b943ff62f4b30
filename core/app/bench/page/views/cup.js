/** The open layer: what its cup holds, what to add to it, how far that is still off, and the other ways. */
import {h} from '../lib/dom.js';
import {icon} from '../lib/icons.js';
import {addParts, addText, capital, dropsParts, plural, sentence, tenth, volume} from '../lib/words.js';
import {change, layerOf, state, units} from '../bench/state.js';
import {farWords} from '../bench/far.js';
import {adviceFor, bestAdvice, chooseWay, doubtOf, hasDrops, waitsForAdvice} from '../bench/advice.js';
import {keptPour} from '../bench/pour.js';
import {progress} from '../bench/count.js';
import {editForm} from './cup-edit.js';
import {dropCount} from './drops.js';
import {pourAndGoOn} from './go-on.js';
import {button, note, notes} from './parts.js';

/** A list whose entries are not broken where a line ends. @param {string[]} parts */
const unbroken = (parts) =>
  parts.map((part, i) => [h('span', {class: 'part'}, i < parts.length - 1 ? `${part},` : part), ' ']);

/* ---- how it is, and how it will be */

function nowLine(cup, advice) {
  const {target = null, tone = null} = layerOf(cup.layer) ?? {};
  if (!target && !tone)
    return h(
      'p',
      {class: 'aimless'},
      'Nothing to aim for yet: mark it on a photo, or go to ',
      h('a', {href: '#targets'}, 'Targets'),
      '.',
    );
  if (waitsForAdvice(cup)) return h('p', {class: 'now soft'}, 'Working out what to add.');
  if (!advice?.now || (!cup.measured && !hasDrops(cup))) return null;
  const words = farWords(advice.now_de00, advice.off, doubtOf(cup));
  return h(
    'p',
    {class: 'now'},
    `${cup.measured ? 'Measured' : 'By its drops'}: ${words} `,
    h('span', {class: 'figures'}, tenth(advice.now_de00)),
    advice.tone ? h('span', {class: 'tone'}, ` It is ${advice.tone.words}.`) : null,
  );
}

function thenLine(proposal) {
  return h(
    'p',
    {class: 'then'},
    `Then ${farWords(proposal.predicted_de00, proposal.predicted_off)} `,
    h('span', {class: 'figures'}, tenth(proposal.predicted_de00)),
    h('span', {class: 'soft'}, `, ${proposal.predicted_see_through_words}`),
  );
}

/* ---- what to add */

function pourButton(cup, what, text, kind, more = {}) {
  const words = addText(what, units());
  return button(text, () => pourAndGoOn(cup.layer, what, words), kind, {
    key: text,
    disabled: state.busy === `pour:${cup.layer}`,
    'aria-label': `${text}: ${words} into the ${cup.layer} cup`,
    ...more,
  });
}

/** A count that has begun says what is logged; nothing is guessed. */
function pourButtons(cup, best) {
  const counted = progress(cup, best);
  const whole = {'data-pour': cup.layer};
  if (counted.none) return pourButton(cup, best, 'Poured it', 'main-act', whole);
  if (counted.all) return pourButton(cup, best, 'All in, poured it', 'main-act', whole);
  return h(
    'div',
    {class: 'row', key: 'part'},
    pourButton(cup, counted.part, 'Log what is in so far', 'quiet', {'data-pour-part': cup.layer}),
    pourButton(cup, best, 'The rest is in, too', 'quiet', whole),
  );
}

const pluginTitle = (id) => state.boot.plugins?.find((p) => p.id === id)?.title ?? id;

function otherWays(cup, list) {
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
        thenLine(p),
        h('p', {class: 'soft'}, sentence(p.words), ' ', h('em', {}, `(${pluginTitle(p.plugin)})`)),
        notes(p.warnings),
        button('Do this instead', () => chooseWay(cup, p), 'quiet'),
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
  const target = layerOf(cup.layer)?.target ?? advice?.target;
  if (!target || !advice) return null;
  const best = bestAdvice(cup.layer);
  const others = advice.advice.filter((p) => p !== best && addText(p, units()));
  const now = nowLine(cup, advice);
  if (!advice.now) return note('What to add can\u2019t be worked out for this cup; the reason stands below.', 'bad');
  if (!best)
    return [
      h('p', {key: 'add', class: 'add'}, 'Leave it'),
      now,
      h('p', {key: 'why', class: 'why soft'}, leaveWords(advice)),
      otherWays(cup, others),
    ];
  return [
    h('p', {key: 'add', class: 'add'}, unbroken(addParts(best, units()))),
    dropCount(cup, best),
    pourButtons(cup, best),
    now,
    thenLine(best),
    h('p', {key: 'why', class: 'why soft'}, sentence(best.words)),
    notes(best.warnings),
    otherWays(cup, others),
  ];
}

/** Said on another day, to be logged once the bench answers. */
function keptBlock(cup) {
  const kept = keptPour(cup.layer);
  return (
    kept && [
      h('p', {key: 'add', class: 'add'}, kept.words),
      note('Poured, and kept on this device: it is logged once the bench answers.'),
    ]
  );
}

/* ---- what is in it */

function holdsWords(cup) {
  const base = volume(cup.volume_floz, units());
  const [first, ...others] = dropsParts(cup.drops);
  return first
    ? [unbroken([capital(first), ...others]), h('span', {class: 'part'}, `in ${base}`)]
    : [h('span', {class: 'part'}, `${base} of clear base,`), ' ', h('span', {class: 'part'}, 'no drops yet')];
}

function holdsLine(cup) {
  const editing = state.editing === cup.layer;
  return h(
    'div',
    {class: 'has', key: 'has'},
    h('span', {class: 'soft'}, 'In the cup:'),
    h('span', {class: 'holds'}, holdsWords(cup)),
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
  );
}

export function cupPanel(cup) {
  const advice = adviceFor(cup);
  const editing = state.editing === cup.layer;
  return h(
    'div',
    {
      class: 'cup',
      key: `cup ${cup.layer}`,
      id: `cup-${cup.layer}`,
      role: 'tabpanel',
      'aria-label': `${cup.layer} cup`,
      'aria-busy': waitsForAdvice(cup) ? 'true' : null,
    },
    h('h3', {key: 'name', class: 'cup-head'}, `${capital(cup.layer)} cup`),
    editing
      ? editForm(cup)
      : (keptBlock(cup) ?? adviceBlock(cup, advice) ?? nowLine(cup, advice)),
    holdsLine(cup),
  );
}
