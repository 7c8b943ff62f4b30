/** What became of the batch just closed: what was poured, the color reached and its doubt, and what comes next time. */
import {h} from '../lib/dom.js';
import {addText, capital, dropsText, sentence, tenth, volume} from '../lib/words.js';
import {change, cupOf, state, units} from '../bench/state.js';
import {farWords} from '../bench/far.js';
import {aimOf, bestAdvice, doubtOf, waitsForAdvice} from '../bench/advice.js';
import {button, swatch} from './parts.js';

function reachedWords(cup) {
  const doubt = doubtOf(cup);
  const {advice} = cup;
  if (!cup.measured) return 'Its color was not read from a photo.';
  const sure = doubt > 0 ? `, doubt ${tenth(doubt)}` : '';
  if (!advice?.now || advice.now_de00 === undefined) return `Measured${sure}.`;
  return `Measured ${farWords(advice.now_de00, advice.off, doubt)}, ${tenth(advice.now_de00)} off${sure}.`;
}

function nextWords(layer) {
  const cup = cupOf(layer);
  if (!cup || waitsForAdvice(cup)) return '';
  const best = bestAdvice(layer);
  return best ? sentence(`Next time ${addText(best, units())}`) : '';
}

const patch = (lab) => swatch(lab, lab ? '' : 'none');

function row(cup) {
  const reached = cup.measured ?? cup.advice?.now ?? null;
  return h(
    'li',
    {key: cup.layer, class: 'finished-cup'},
    h('span', {class: 'finished-colors', 'aria-hidden': 'true'}, patch(reached), patch(aimOf(cup))),
    h(
      'div',
      {},
      h('h3', {}, capital(cup.layer)),
      h('p', {}, `${capital(dropsText(cup.drops))} in ${volume(cup.volume_floz, units())}.`),
      h('p', {class: 'soft'}, reachedWords(cup)),
      h('p', {}, nextWords(cup.layer)),
    ),
  );
}

/** Until the next drops are poured, or it is put away. */
export function finishedSection() {
  const {finished, work} = state;
  if (finished?.work !== work.id) return null;
  return h(
    'section',
    {key: 'finished', class: 'done', 'aria-labelledby': 'finished-title'},
    h('h2', {id: 'finished-title', tabindex: -1}, `Batch ${finished.name} is ${finished.good ? 'done, and good' : 'closed'}`),
    h('p', {class: 'soft'}, 'Left the color reached, right the one aimed for.'),
    h('ul', {class: 'finished'}, finished.cups.map(row)),
    button('Put this away', () => change({finished: null}), 'quiet', {'data-do': 'put-away'}),
  );
}
