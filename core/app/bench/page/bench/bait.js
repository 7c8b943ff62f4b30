/** Asks how the bait looks, and what lies where its layers meet, whenever the cups or their advice are others. */
import {ApiError, post} from '../lib/api.js';
import {settled} from '../lib/newest.js';
import {aimed, bestAdvice, hasDrops, question, waitsForAdvice} from './advice.js';
import {change, listen, pattern, slabNow, state, whenBack} from './state.js';

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

const ask = (body, signal) => body && post('/api/blend', body, signal);

export function followBait() {
  let asked = '';
  let running = null;
  const start = settled(120, async () => {
    running?.abort();
    running = new AbortController();
    const {signal} = running;
    try {
      const {now, then} = wanted();
      change({bait: {now: await ask(now, signal), then: await ask(then, signal), error: ''}});
    } catch (error) {
      if (error.name === 'AbortError') return;
      if (!(error instanceof ApiError)) throw error;
      change({bait: {now: null, then: null, error: error.status ? error.message : ''}});
    }
  });
  whenBack(() => (asked = ''));
  listen(() => {
    if (!state.work || !pattern() || state.route.view !== 'mix') return;
    // While advice is on its way, the pictures before it stay.
    if (state.work.cups.some(waitsForAdvice)) return;
    const key = JSON.stringify([state.work.id, wanted(), state.boot.shelf]);
    if (key === asked) return;
    asked = key;
    start();
  });
}
