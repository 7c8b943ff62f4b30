/** Asks for advice whenever cups, targets or the slab differ from those advised on last. */
import {ApiError, post} from '../lib/api.js';
import {settled} from '../lib/newest.js';
import {change, layerOf, listen, pattern, state, whenBack} from './state.js';

/** The cups as the server wants them for advice. */
function request() {
  const layers = state.work.cups
    .filter((cup) => layerOf(cup.layer)?.target)
    .map((cup) => ({
      name: cup.layer,
      target: layerOf(cup.layer).target,
      measured: cup.measured ?? null,
      measured_uncertainty_de00: cup.measured ? (cup.measured_uncertainty_de00 ?? 0) : 0,
      volume_floz: cup.volume_floz,
      capacity_floz: cup.capacity_floz,
      drops: cup.drops,
      see_through: layerOf(cup.layer).see_through ?? null,
    }));
  return {layers, slab: state.work.slab, chroma_share: 0, max_drops: 60, max_bottles: 4};
}

/** Cups that have drops but nothing to aim for: only what they will look like. */
const predictable = () =>
  state.work.cups.filter((cup) => !layerOf(cup.layer)?.target && Object.values(cup.drops).some((n) => n > 0));

async function askAdvice(signal) {
  const body = request();
  const cups = predictable();
  const answer = body.layers.length ? await post('/api/advise', body, signal) : {layers: [], warnings: []};
  const predicted = {};
  for (const cup of cups)
    predicted[cup.layer] = await post(
      '/api/predict',
      {drops: cup.drops, volume_floz: cup.volume_floz, slab: state.work.slab},
      signal,
    );
  const advice = Object.fromEntries(answer.layers.map((layer) => [layer.name, layer]));
  change({advice, predicted, adviceNotes: answer.warnings ?? [], adviceError: '', adviceBusy: false});
}

export function followAdvice() {
  let asked = '';
  let running = null;
  const start = settled(60, async () => {
    running?.abort();
    running = new AbortController();
    const {signal} = running;
    change({adviceBusy: true});
    try {
      await askAdvice(signal);
    } catch (error) {
      if (error.name === 'AbortError') return;
      if (!(error instanceof ApiError)) throw error;
      change({adviceError: error.message, adviceBusy: false});
    }
  });
  whenBack(() => (asked = ''));
  listen(() => {
    if (!state.work || !pattern()) return;
    const key = JSON.stringify([state.work.id, request(), predictable(), state.boot.shelf]);
    if (key === asked) return;
    asked = key;
    start();
  });
}
