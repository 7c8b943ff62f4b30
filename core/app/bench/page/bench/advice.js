/** Asks for advice whenever cups, targets or the slab differ from those advised on last. */
import {post} from '../lib/api.js';
import {addText} from '../lib/words.js';
import {asking} from './asking.js';
import {change, cupOf, layerOf, listen, pattern, slabNow, state, units} from './state.js';

export const aimed = (cup) => Boolean(layerOf(cup.layer)?.target || layerOf(cup.layer)?.tone);

/** What its reading can't tell apart, CIEDE2000; 0 of a cup that was not read. */
export const doubtOf = (cup) => cup.measured_uncertainty_de00 ?? 0;

/** A cup and all that its advice goes by. */
export const question = (cup) => ({
  name: cup.layer,
  target: layerOf(cup.layer)?.target ?? null,
  measured: cup.measured ?? null,
  measured_uncertainty_de00: doubtOf(cup),
  volume_floz: cup.volume_floz,
  capacity_floz: cup.capacity_floz,
  drops: cup.drops,
  see_through: layerOf(cup.layer)?.see_through ?? null,
});

/** What the advice is of: the cups are the book's, where the server looks them up. */
function request() {
  const layers = state.work.cups.filter(aimed).map(question);
  return {pattern: state.work.pattern, batch: state.work.batch_name, layers, slab: slabNow()};
}

const mark = (layer, slab) => JSON.stringify([layer, slab]);

/** The advice for a cup as it is; null while it is of the cup as it was. @param {Object} cup */
export function adviceFor(cup) {
  const advice = state.advice[cup.layer];
  return advice && aimed(cup) && advice.of === mark(question(cup), slabNow()) ? advice : null;
}

export const hasDrops = (cup) => Object.values(cup.drops).some((n) => n > 0);

/** What to do with a cup, when that is to add something: the way chosen by hand, or else the best. @param {string} name */
export function bestAdvice(name) {
  const advice = adviceFor(cupOf(name));
  const chosen = state.ways[name]?.of === advice?.of ? state.ways[name] : null;
  const list = advice?.advice ?? [];
  const best = list[chosen?.at ?? 0];
  return best && addText(best, units()) ? best : null;
}

/** @param {Object} cup @param {Object} proposal one of its advice's */
export function chooseWay(cup, proposal) {
  const {of, advice} = adviceFor(cup);
  change({ways: {...state.ways, [cup.layer]: {of, at: advice.indexOf(proposal)}}});
}

/** The color a cup is led to: its target, or the nearest natural one. @returns {?import('../lib/color.js').Lab} */
export const aimOf = (cup) => layerOf(cup.layer)?.target ?? (aimed(cup) && state.advice[cup.layer]?.target) ?? null;

/** Whether advice for a cup is still on its way. */
export const waitsForAdvice = (cup) => aimed(cup) && !adviceFor(cup) && !state.adviceError;

/** Cups that have drops but nothing to aim for: only what they will look like. */
const predictable = () =>
  state.work.cups.filter((cup) => !aimed(cup) && hasDrops(cup));

async function askAdvice(signal) {
  const body = request();
  const cups = predictable();
  const {layers, ...asked} = body;
  const answer = layers.length ? await post('/api/advise', asked, signal) : {layers: [], warnings: []};
  const predicted = {};
  for (const cup of cups)
    predicted[cup.layer] = await post(
      '/api/predict',
      {drops: cup.drops, volume_floz: cup.volume_floz, slab: slabNow()},
      signal,
    );
  const of = Object.fromEntries(body.layers.map((layer) => [layer.name, mark(layer, body.slab)]));
  const advice = Object.fromEntries(
    // A layer that the answer leaves out has its reason among the warnings.
    body.layers.map(({name}) => [name, {advice: [], name, of: of[name]}]),
  );
  for (const layer of answer.layers) advice[layer.name] = {...layer, of: of[layer.name]};
  change({advice, predicted, adviceNotes: answer.warnings ?? [], adviceError: ''});
}

export function followAdvice() {
  const ask = asking(60, askAdvice, (error) => change({adviceError: error.message}));
  listen(() => {
    if (!state.work || !pattern()) return;
    ask(JSON.stringify([state.work.id, request(), predictable(), state.boot.shelf]));
  });
}
