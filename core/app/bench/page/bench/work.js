/** What lies on the bench: every change goes to the server in turn, and the server's answer is what counts. */
import {ApiError, get, patch, post} from '../lib/api.js';
import {settled} from '../lib/newest.js';
import {change, state, tellNote, units, whenBack} from './state.js';
import {undoneWords} from './undone.js';

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
    });
  change(part);
}

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
  } else tellNote(error.message, {bad: true});
}

/** One change after the other, each on the newest revision. @returns {Promise<boolean>} whether it was done */
function queue(run) {
  const done = turn.then(async () => {
    try {
      takeWork(await run());
      return true;
    } catch (error) {
      explain(error);
      return false;
    }
  });
  turn = done;
  return done;
}

const path = (rest = '') => `/api/work/${state.work.id}${rest}`;
const revision = () => state.work.revision;

async function sendDraft() {
  const marks = draft;
  if (!marks) return null;
  try {
    const work = await patch(path(), {revision: revision(), marks});
    if (draft === marks) draft = null;
    return work;
  } catch (error) {
    // Nobody there: it is sent when somebody is. Refused: what the server has is shown.
    if (error.status !== 0 && draft === marks) draft = null;
    throw error;
  }
}
const saveDraft = settled(SAVE_AFTER_MS, () => (draft && state.work ? queue(sendDraft) : null));
whenBack(() => draft && saveDraft());

/** Marks as drawn: shown at once, sent once the hand rests. @param {boolean} done false while a finger still moves */
export function drawMarks(marks, done) {
  draft = marks;
  change({marks});
  if (done) saveDraft();
}

/** A change of another kind comes after the marks that wait. */
function inTurn(run) {
  saveDraft.now();
  return queue(run);
}

/** @param {Object} part photo, marks, cups, slab or name */
export const saveWork = (part) => inTurn(() => patch(path(), {revision: revision(), ...part}));

/** One cup changed. @param {string} layer @param {Object} part */
export function saveCup(layer, part) {
  const cups = () => state.work.cups.map((cup) => (cup.layer === layer ? {...cup, ...part} : cup));
  return inTurn(() => patch(path(), {revision: revision(), cups: cups()}));
}

export async function undo() {
  if (!state.work) return;
  let words = '';
  let inBook = false;
  const done = await inTurn(async () => {
    const was = state.work;
    const {undone, ...work} = await post(path('/undo'));
    words = undoneWords(was, work, undone, units());
    inBook = undone.readings > 0 || undone.batch_gone || undone.batch_opened;
    return work;
  });
  if (!done) return;
  tellNote(words);
  if (inBook) await reloadBoot();
}

/** @param {string} layer @param {{add: Object<string, number>, add_clear_floz: number}} advice @param {string} words */
export async function pour(layer, advice, words) {
  change({busy: `pour:${layer}`});
  const done = await inTurn(() =>
    post(path('/pour'), {
      revision: revision(),
      layer,
      add: advice.add,
      add_clear_floz: advice.add_clear_floz ?? 0,
    }),
  );
  change({busy: ''});
  if (done)
    tellNote(`Logged: ${words} into the ${layer} cup.`, {
      undo: true,
    });
}

const pours = () => state.work.cups.reduce((sum, cup) => sum + (cup.log?.length ?? 0), 0);
/** Poured and not measured since. */
export const pouredInto = (cup) => !cup.measured && (cup.log?.length ?? 0) > 0;

/** Whether something was poured since the photo at hand was laid on the bench. Its marks carry how many pours there were. */
export const pouredSincePhoto = () =>
  Boolean(state.work.photo) && pours() > (state.work.marks?.poured ?? 0) && state.work.cups.some(pouredInto);

/** A photo goes on the bench with marks to start from. */
export function layPhoto(id, marks) {
  draft = null;
  return saveWork({photo: id, marks: {...marks, poured: pours()}});
}

/** The marked layers of the photo become what the cups are. */
export async function readIntoCups() {
  change({busy: 'measured'});
  const done = await inTurn(() => post(path('/measured'), {revision: revision()}));
  change({busy: ''});
  if (!done) return;
  tellNote('The cups now have the colors of this photo, and the batch has its reading.', {undo: true});
  await reloadBoot();
}

export async function finish(good, note) {
  const done = await inTurn(() => post(path('/finish'), {revision: revision(), good, note}));
  if (done) {
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
      // Targets and bottles have no revision: they are looked at along with each answer.
      await reloadBoot();
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
