/**
 * Drops logged into a cup. While nobody answers they are kept on this device and logged, once, when the bench is back:
 * each carries what its cup was (`seen`), so that the server takes it only into that cup as it was.
 */
import {ApiError, post} from '../lib/api.js';
import {recall, remember} from '../lib/memory.js';
import {change, cupOf, state, tellNote, whenBack} from './state.js';
import {explain, inTurn, takeWork} from './work.js';

/** @typedef {{work: number, layer: string, seen: string, add: Object<string, number>, add_clear_floz: number,
 *   words: string, before: Object<string, number>, volume_floz: number}} Kept */

const PATIENCE_MS = 10000;

/** @param {string} layer @returns {?Kept} */
export const keptPour = (layer) =>
  state.kept.find((kept) => kept.work === state.work?.id && kept.layer === layer) ?? null;

function keep(list) {
  remember('kept', list.length ? list : null);
  change({kept: list});
}
export const dropKept = (kept) => keep(state.kept.filter((other) => other !== kept));

function send({work, layer, seen, add, add_clear_floz}) {
  const body = {layer, seen, add, add_clear_floz};
  return post(`/api/work/${work}/pour`, body, AbortSignal.timeout(PATIENCE_MS));
}

/** @param {string} layer @param {{add: Object<string, number>, add_clear_floz: number}} what @param {string} words */
export async function pour(layer, what, words) {
  const cup = cupOf(layer);
  const entry = {
    work: state.work.id,
    layer,
    seen: cup.seen,
    add: what.add,
    add_clear_floz: what.add_clear_floz ?? 0,
    words,
    before: cup.drops,
    volume_floz: cup.volume_floz,
  };
  change({busy: `pour:${layer}`});
  const done = await inTurn(
    () => send(entry),
    (error) => (error.status === 0 ? keep([...state.kept, entry]) : explain(error)),
  );
  change({busy: ''});
  if (done) tellNote(`Logged: ${words} into the ${layer} cup.`, {undo: true});
  return done || state.kept.includes(entry);
}

/** Whether a cup holds what it would with a kept pour: its answer, not the pour, was lost. */
function holdsIt(cup, kept) {
  const ids = new Set([...Object.keys(kept.before), ...Object.keys(kept.add), ...Object.keys(cup?.drops ?? {})]);
  const near = (one, other) => Math.abs(one - other) < 0.01;
  return (
    Boolean(cup) &&
    near(cup.volume_floz, kept.volume_floz + kept.add_clear_floz) &&
    [...ids].every((id) => near(cup.drops[id] ?? 0, (kept.before[id] ?? 0) + (kept.add[id] ?? 0)))
  );
}

function settle(kept, error) {
  if (error.status === 0 || error.status === 401) return;
  dropKept(kept);
  if (error.body?.kept) {
    tellNote(`Logged: ${kept.words} into the ${kept.layer} cup.`);
    return;
  }
  const newest = error.body?.cups ? error.body : null;
  if (newest && newest.id === state.work?.id) takeWork(newest);
  if (holdsIt(newest?.cups.find((cup) => cup.layer === kept.layer), kept))
    tellNote(`Logged: ${kept.words} into the ${kept.layer} cup.`);
  else
    tellNote(
      `Not logged: ${kept.words} into the ${kept.layer} cup. ${newest ? 'That cup was changed meanwhile: log it again if it is in.' : error.message}`,
      {bad: true},
    );
}

async function sendKept(kept) {
  const run = async () => {
    const work = await send(kept);
    dropKept(kept);
    return work.id === state.work?.id ? work : null;
  };
  const failed = (error) => {
    if (!(error instanceof ApiError)) throw error;
    settle(kept, error);
  };
  if (await inTurn(run, failed)) tellNote(`Logged: ${kept.words} into the ${kept.layer} cup.`, {undo: true});
}

const sendAll = () => {
  for (const kept of state.kept) sendKept(kept);
};

/** Brings back what was kept before a reload, and sends it whenever the bench answers again. */
export function followKept() {
  change({kept: recall('kept', [])});
  sendAll();
  whenBack(sendAll);
}
