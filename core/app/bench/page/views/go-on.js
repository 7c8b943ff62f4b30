/** Where the focus goes once something is done: on to the next that is to be done. */
import {change, state} from '../bench/state.js';
import {bestAdvice} from '../bench/advice.js';
import {waitsForDrops} from '../bench/next-step.js';
import {pour} from '../bench/pour.js';
import {showOpen} from './parts.js';

/** The next layer, from here down and around, that waits for drops. @param {string} from */
function nextLayer(from) {
  const {cups} = state.work;
  const at = cups.findIndex((cup) => cup.layer === from);
  const order = [...cups.slice(at + 1), ...cups.slice(0, at)];
  return order.find(waitsForDrops)?.layer;
}

const focusOn = (selector) => document.querySelector(selector)?.focus({preventScroll: true});

/** Pours, opens the next cup and puts the focus there; after the last one, on what the dock says comes next. */
export async function pourAndGoOn(layer, what, words) {
  const whole = what === bestAdvice(layer);
  if (!(await pour(layer, what, words)) || !whole) return;
  const next = nextLayer(layer);
  if (next) {
    change({open: next, editing: null});
    requestAnimationFrame(() => {
      focusOn(`[data-layer="${CSS.escape(next)}"]`);
      showOpen();
    });
  } else focusOn('#next :is(button, input)');
}
