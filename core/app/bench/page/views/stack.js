/** The stack: the bait's layers touching in their order, one of them open to what is to be done with its cup. */
import {h} from '../lib/dom.js';
import {cssColor} from '../lib/color.js';
import {addParts, addText, capital, plural, tidy} from '../lib/words.js';
import {openLayer} from '../bench/next-step.js';
import {change, state, units} from '../bench/state.js';
import {nearness, THE_SAME} from '../bench/far.js';
import {adviceFor, aimed, aimOf, bestAdvice, doubtOf, hasDrops, waitsForAdvice} from '../bench/advice.js';
import {keptPour} from '../bench/pour.js';
import {progress} from '../bench/count.js';
import {cupPanel} from './cup.js';
import {heatForm} from './heat.js';
import {slabForm} from './looked-at.js';
import {farLegend, note, notes, showOpen} from './parts.js';

const MANY = 4;

/** What a cup is now, as well as known: null before anything is in it. */
function nowOf(cup) {
  if (!cup.measured && !hasDrops(cup)) return null;
  return state.advice[cup.layer]?.now ?? cup.measured ?? state.predicted[cup.layer]?.lab ?? null;
}

/** A ring: full when right, half when near, empty when not. */
function nearSign(near) {
  return h(
    'svg',
    {class: 'near', viewBox: '0 0 16 16', 'aria-hidden': 'true', focusable: 'false'},
    h('circle', {cx: 8, cy: 8, r: 6.8}),
    near === 'right' && h('circle', {class: 'full', cx: 8, cy: 8, r: 4.4}),
    near === 'near' && h('path', {class: 'full', d: 'M8 3.600a4.400 4.400 0 0 1 0 8.800z'}),
  );
}

/** How it stands now, in few words. */
function nowWords(cup, advice) {
  if (!nowOf(cup)) return ['', 'clear base'];
  if (!aimed(cup)) return ['', cup.measured ? 'measured' : 'by its drops'];
  if (!advice?.now) return ['', ''];
  const near = nearness(advice.now_de00, doubtOf(cup));
  const {off} = advice;
  if (near === 'right' || off === THE_SAME) return ['right', 'right'];
  return [near, near === 'near' ? off.replaceAll('too ', 'a touch too ') : off];
}

/** What is to be done, in few words: drops of at most two bottles by name. */
function doWords(cup, advice) {
  if (keptPour(cup.layer)) return 'waits for the bench';
  if (!aimed(cup)) return 'no target yet';
  if (waitsForAdvice(cup)) return 'working it out';
  if (!advice) return '';
  const best = bestAdvice(cup.layer);
  if (!advice.now) return 'no advice';
  if (!best) return 'leave it';
  const counted = progress(cup, best);
  if (!counted.none) return `${tidy(counted.drops)} of ${tidy(counted.of)} in`;
  const parts = addParts(best, units());
  return parts.length < 3 ? `add ${addText(best, units())}` : `add ${plural(Number(tidy(counted.of)), 'drop')}`;
}

const fill = (lab) => (lab ? {style: {background: cssColor(lab)}} : {class: 'none'});

function colors(cup) {
  const now = nowOf(cup);
  const best = bestAdvice(cup.layer);
  return h(
    'span',
    {class: 'band-colors', 'aria-hidden': 'true'},
    h('i', fill(now)),
    h('i', fill(aimOf(cup))),
    h('i', fill(best ? best.predicted : now)),
  );
}

/** Up and down among the layers, as among tabs. */
function step(event, i) {
  const by = {ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1}[event.key];
  if (!by) return;
  event.preventDefault();
  const {cups} = state.work;
  const next = cups[(i + by + cups.length) % cups.length];
  change({open: next.layer, editing: null});
  document.querySelector(`[data-layer="${CSS.escape(next.layer)}"]`)?.focus();
}

function openBand(layer) {
  change({open: layer, editing: null});
  requestAnimationFrame(showOpen);
}

function band(cup, i) {
  const advice = adviceFor(cup);
  const isOpen = openLayer() === cup.layer;
  const [near, words] = nowWords(cup, advice);
  return h(
    'button',
    {
      type: 'button',
      role: 'tab',
      key: cup.layer,
      class: waitsForAdvice(cup) ? 'band waits' : 'band',
      'aria-selected': String(isOpen),
      'aria-controls': isOpen ? `cup-${cup.layer}` : null,
      'aria-busy': waitsForAdvice(cup) ? 'true' : null,
      tabindex: isOpen ? 0 : -1,
      'data-layer': cup.layer,
      onclick: () => openBand(cup.layer),
      onkeydown: (event) => step(event, i),
    },
    colors(cup),
    h(
      'span',
      {class: 'band-words'},
      h(
        'span',
        {},
        h('span', {class: 'band-name'}, h('span', {class: 'say'}, capital(cup.layer))),
        h('span', {class: 'unseen'}, ': '),
        words && h('span', {class: 'say'}, near && nearSign(near), words),
      ),
      h(
        'span',
        {},
        h('span', {class: 'unseen'}, '. '),
        h('span', {class: 'say'}, capital(doWords(cup, advice))),
      ),
    ),
  );
}

/** @param {?Object} end what closes the batch */
export function stackSection(end) {
  const {cups} = state.work;
  const open = cups.find((cup) => cup.layer === openLayer());
  return h(
    'section',
    {key: 'layers', class: 'layers', 'aria-labelledby': 'cups-title'},
    h('h2', {id: 'cups-title', class: 'unseen', tabindex: -1}, 'The layers and their cups'),
    h(
      'div',
      {class: 'stack-legend', 'aria-hidden': 'true'},
      h('span', {}, 'now'),
      h('span', {}, 'aimed for'),
      h('span', {}, 'after these drops'),
    ),
    h(
      'div',
      {
        class: cups.length > MANY ? 'stack many' : 'stack',
        role: 'tablist',
        'aria-label': 'Layers, as in the bait',
        'aria-orientation': 'vertical',
      },
      cups.map(band),
    ),
    open && cupPanel(open),
    end,
    h(
      'div',
      {class: 'under-stack'},
      note(state.adviceError, 'bad'),
      state.boot.shelf.warning && note(`${state.boot.shelf.warning} Fit your own under Bottles.`),
      notes(state.adviceNotes.filter((text) => text !== state.boot.shelf.warning)),
      heatForm(),
      slabForm(),
      farLegend(),
      h('p', {class: 'note'}, state.boot.caution_line),
    ),
  );
}
