/** Asks how the bait looks, and what lies where its layers meet, whenever the cups or their advice are others. */
import {post} from '../lib/api.js';
import {aimed, bestAdvice, hasDrops, question, waitsForAdvice} from './advice.js';
import {asking} from './asking.js';
import {change, listen, pattern, slabNow, state} from './state.js';

const colored = (cup) => hasDrops(cup) || Boolean(cup.measured) || aimed(cup);

/** A cup with what is advised already in it. */
function later(cup) {
  const asked = question(cup);
  const best = bestAdvice(cup.layer);
  if (!best) return asked;
  const drops = {...asked.drops};
  for (const [bottle, n] of Object.entries(best.add ?? {})) drops[bottle] = (drops[bottle] ?? 0) + n;
  const volume_floz = asked.volume_floz + (best.add_clear_floz ?? 0);
  return {...asked, drops, volume_floz, measured: best.predicted};
}

function request(layers) {
  const {outline, shares} = state.work.slab;
  return {pattern: state.work.pattern, layers, slab: slabNow(), outline, shares};
}

/** What is to be asked; null parts are not drawn. */
function wanted() {
  const {cups} = state.work;
  if (!cups.every(colored)) return {now: null, then: null};
  const advised = cups.some((cup) => bestAdvice(cup.layer));
  return {now: request(cups.map(question)), then: advised ? request(cups.map(later)) : null};
}

const blended = (body, signal) => body && post('/api/blend', body, signal);

async function askBait(signal) {
  const {now, then} = wanted();
  change({bait: {now: await blended(now, signal), then: await blended(then, signal), error: ''}});
}

export function followBait() {
  const ask = asking(120, askBait, (error) =>
    change({bait: {now: null, then: null, error: error.status ? error.message : ''}}),
  );
  listen(() => {
    if (!state.work || !pattern() || state.route.view !== 'mix') return;
    // While advice is on its way, the pictures before it stay.
    if (state.work.cups.some(waitsForAdvice)) return;
    ask(JSON.stringify([state.work.id, wanted(), state.boot.shelf]));
  });
}
