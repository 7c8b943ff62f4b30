/** Molds of the book, and what a pour takes: asked anew whenever the wishes, the cups or the molds are others. */
import {post, remove} from '../lib/api.js';
import {recall, remember} from '../lib/memory.js';
import {hasDrops} from './advice.js';
import {asking} from './asking.js';
import {changed} from './patterns.js';
import {change, listen, pattern, state} from './state.js';

/**
 * What is wished of a pour; this device remembers it. Volumes are as typed; additives and powders one a comma.
 * @typedef {{molds: string[], baits: number, chamber: string, cup: string, waste: string, additives: string, powders: string}} Wish
 */

/** @returns {Wish} */
export function wish() {
  const kept = recall('plan') ?? {};
  const names = state.boot.molds.map((mold) => mold.name);
  const molds = (kept.molds ?? []).filter((name) => names.includes(name));
  return {
    baits: 20,
    chamber: '',
    cup: '',
    waste: '',
    additives: '',
    powders: '',
    ...kept,
    molds: molds.length || names.length === 0 ? molds : [names[0]],
  };
}

/** @param {Partial<Wish>} part */
export function wishFor(part) {
  remember('plan', {...wish(), ...part});
  change({});
}

const list = (text) =>
  text
    .split(',')
    .map((part) => part.trim())
    .filter(Boolean);

/** The question; null while there is no mold. The cups on the bench count where something is in them. */
function planRequest() {
  const {molds, baits, chamber, cup, waste, additives, powders} = wish();
  if (molds.length === 0) return null;
  return {
    pattern: state.work.pattern,
    batch: state.work.cups.some(hasDrops) ? state.work.batch_name : undefined,
    molds: molds.map((name) => ({name})),
    baits,
    shares: state.work.slab.shares,
    chamber_volume: chamber || undefined,
    cup_volume: cup || undefined,
    waste: waste === '' ? undefined : Number(waste),
    additives: list(additives),
    powders: list(powders),
  };
}

/** All that the answer goes by. */
const mark = (body) =>
  JSON.stringify([body, state.work.cups.map((cup) => [cup.drops, cup.volume_floz]), state.boot.molds, state.boot.units]);

async function askPlan(signal) {
  const body = planRequest();
  change({plan: {plan: body && (await post('/api/plan', body, signal)), error: ''}});
}

export function followPlan() {
  const ask = asking(120, askPlan, (error) => change({plan: {plan: null, error: error.status ? error.message : ''}}));
  listen(() => {
    if (!state.work || !pattern() || state.route.view !== 'plan') return;
    ask(mark(planRequest()));
  });
}

/* ---- molds */

const withUndo = {undo: true};

/** Adds a mold or puts new values to the one of that name. @returns {Promise<*>} null where it was refused */
export const saveMold = (mold) => changed(() => post('/api/molds', mold), `The mold ${mold.name} is kept.`, withUndo);
export const removeMold = (name) =>
  changed(() => remove('/api/molds', {name}), `The mold ${name} is out of the book.`, withUndo);
