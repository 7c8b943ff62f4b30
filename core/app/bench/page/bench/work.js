/** What lies on the bench: every change goes to the server in turn, and the server's answer is what counts. */
import {ApiError, get, patch, post} from '../lib/api.js';
import {settled} from '../lib/newest.js';
import {entryWords} from '../lib/words.js';
import {change, cupOf, NO_SWIRL, NO_TURN, state, tellNote, whenBack} from './state.js';

let turn = Promise.resolve();
/** Marks as drawn that the server has not confirmed yet. @type {?import('./state.js').Marks} */
let draft = null;
const SAVE_AFTER_MS = 250;

/** The server's word. A draft of marks stays until it is confirmed. @param {Object} work */
export function takeWork(work) {
  if (!work || (state.work?.id === work.id && work.revision < state.work.revision)) return;
  const other = state.work?.id !== work.id;
  const part = {work};
  if (other) draft = null;
  if (!draft) part.marks = {...work.marks, layers: work.marks?.layers ?? []};
  if (other)
    Object.assign(part, {
      selected: null,
      corners: [],
      readings: {},
      advice: {},
      predicted: {},
      editing: null,
      open: null,
      swirl: NO_SWIRL,
      turn: NO_TURN,
      ways: {},
      sharesTyped: null,
      bait: {now: null, then: null, error: ''},
    });
  change(part);
}

const NOT_DONE = 'The bench does not answer, so this was not done. Do it again once it is back.';

/** Says what went wrong; somebody else's change is taken over. */
export function explain(error) {
  if (!(error instanceof ApiError)) throw error;
  const newest = error.body?.work ?? error.body;
  if (error.status === 409 && newest?.revision) {
    takeWork(newest);
    tellNote(
      'Somebody else changed this meanwhile. Here is how it stands now; do your last step again if it is still needed.',
      {bad: true},
    );
  } else tellNote(error.status === 0 ? NOT_DONE : error.message, {bad: true});
}

/**
 * One change after the other, each on the newest revision.
 * @param {() => Promise<?Object>} run @param {(error: *) => void} failed
 * @returns {Promise<boolean>} whether it was done
 */
function queue(run, failed) {
  const done = turn.then(async () => {
    try {
      takeWork(await run());
      return true;
    } catch (error) {
      failed(error);
      return false;
    }
  });
  turn = done;
  return done;
}

const path = (rest = '') => `/api/work/${state.work.id}${rest}`;
const seen = () => state.work.seen;

async function sendDraft() {
  const marks = draft;
  if (!marks) return null;
  try {
    const work = await patch(path(), {seen: seen(), marks});
    if (draft === marks) draft = null;
    return work;
  } catch (error) {
    // Nobody there: it is sent when somebody is. Refused: what the server has is shown.
    if (error.status !== 0 && draft === marks) draft = null;
    throw error;
  }
}
/* Nobody there: the draft is kept, and the bar that says so is enough. */
const draftFailed = (error) => error.status !== 0 && explain(error);
const saveDraft = settled(SAVE_AFTER_MS, () => (draft && state.work ? queue(sendDraft, draftFailed) : null));
whenBack(() => draft && saveDraft());

/** Marks as drawn: shown at once, sent once the hand rests. @param {boolean} done false while a finger still moves */
export function drawMarks(marks, done) {
  draft = marks;
  change({marks});
  if (done) saveDraft();
}

/** A change of another kind comes after the marks that wait. */
export function inTurn(run, failed = explain) {
  saveDraft.now();
  return queue(run, failed);
}

/** @param {Object} part photo, marks, slab or name */
export const saveWork = (part) => inTurn(() => patch(path(), {seen: seen(), ...part}));

/** What was logged of a cup was wrong. @param {string} layer @param {Object} part drops, volume_floz, capacity_floz */
export const saveCup = (layer, part) =>
  inTurn(() => post(path('/cup'), {layer, seen: cupOf(layer).seen, ...part}));

/** How hot a cup is, or that it went back onto the heat; the clock says the minute. @param {string} layer @param {Object} part */
export async function noteHeat(layer, part) {
  let warning = '';
  const done = await inTurn(async () => {
    const work = await post(path('/heat'), {layer, seen: cupOf(layer).seen, ...part});
    warning = work.warning ?? '';
    return work;
  });
  if (done) tellNote(warning || 'Noted.', {undo: true, bad: Boolean(warning)});
}

/** The book's last entry, of whatever kind and from whatever door. @param {'undo'|'redo'} way @param {string} said */
async function step(way, said) {
  const entry = () => state.work?.[way];
  if (!entry()) return;
  let words = '';
  const done = await inTurn(async () => {
    if (!entry()) return null;
    const answer = await post(`/api/${way}`, {entry: entry().entry, work: state.work.id});
    words = answer.words;
    if (!answer.work) change({work: null});
    return answer.work;
  });
  if (!done) return void (state.work && openWork(state.work.id));
  if (words) tellNote(`${said}: ${entryWords(words)}.`);
  await reloadBoot();
  return undefined;
}
export const undo = () => step('undo', 'Taken back');
export const redo = () => step('redo', 'Brought back');

const additions = () => state.work.cups.reduce((sum, cup) => sum + cup.additions, 0);
/** Poured and not read since. */
export const pouredInto = (cup) => cup.read.length === 0 && cup.additions > 0;

/** Whether something was poured since the photo at hand was laid on the bench. Its marks carry how many additions there were. */
export const pouredSincePhoto = () =>
  Boolean(state.work.photo) && additions() > (state.work.marks?.poured ?? 0) && state.work.cups.some(pouredInto);

/** A photo goes on the bench with marks to start from. */
export function layPhoto(id, marks) {
  draft = null;
  return saveWork({photo: id, marks: {...marks, poured: additions()}});
}

export async function finish(good, note) {
  const {id, batch_name: name, cups} = state.work;
  const finished = {work: id, name, good, cups: cups.map((cup) => ({...cup, advice: state.advice[cup.layer] ?? null}))};
  const done = await inTurn(() => post(path('/finish'), {seen: seen(), good, note}));
  if (done) {
    change({finished});
    await reloadBoot();
    const words = good ? 'The batch is closed and called good. It counts for drift.' : 'The batch is closed.';
    tellNote(words, {undo: true});
  }
}

/** Lists of patterns, bottles and works as they are now. */
export async function reloadBoot() {
  const boot = await get('/api/state');
  change({boot, paired: boot.paired !== false});
  return boot;
}

/** @param {number} id */
export async function openWork(id) {
  try {
    takeWork(await get(`/api/work/${id}`));
    follow();
    return true;
  } catch (error) {
    explain(error);
    return false;
  }
}

/** A new piece of work for a pattern. */
export async function startWork(id) {
  try {
    takeWork(await post('/api/work', {pattern: id}));
    follow();
    await reloadBoot();
    return true;
  } catch (error) {
    explain(error);
    return false;
  }
}

let following = null;
const pause = (ms) => new Promise((resume) => setTimeout(resume, ms));

async function followOne(id, signal) {
  while (!signal.aborted && state.work?.id === id) {
    try {
      // Away, the first answer is wanted at once: it says that the server is back.
      const after = state.away ? '' : `?after=${state.work.revision}`;
      const newer = await get(`/api/work/${id}${after}`, signal);
      if (newer?.id === state.work?.id) takeWork(newer);
      // The revision grows with targets and bottles, too: without a newer one they are as they were.
      if (newer) await reloadBoot();
      await pause(50);
    } catch (error) {
      if (signal.aborted) return;
      await pause(error.status === 0 ? 2000 : 8000);
    }
  }
}

/** Another tab or a phone may change the same work: the server tells. */
export function follow() {
  following?.abort();
  if (!state.work) return;
  following = new AbortController();
  followOne(state.work.id, following.signal);
}
