/** One bait photographed from two or three sides: how far its colors travel. */
import {ApiError, post} from '../lib/api.js';
import {reloadBoot} from './work.js';
import {sendPhoto} from './upload.js';
import {change, NO_TURN, state, tellNote} from './state.js';

export const TURNED_MOST = 3;

const set = (part) => change({turn: {...state.turn, ...part}});

async function asked(more = {}) {
  set({busy: true, error: ''});
  try {
    const answer = await post('/api/turn', {pattern: state.work.pattern, photos: state.turn.photos, ...more});
    set({answer, busy: false});
    return answer;
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    set({busy: false, error: error.message, ...(!more.keep && {answer: null})});
    return null;
  }
}

/** Photos of the bait from further sides; from two on they are compared. @param {File[]} files */
export async function addTurned(files) {
  set({busy: true, error: ''});
  try {
    for (const file of files.slice(0, TURNED_MOST - state.turn.photos.length)) {
      const info = await sendPhoto(file);
      set({photos: [...state.turn.photos, info.id], answer: null});
    }
    set({busy: false});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    set({busy: false, error: error.message});
    return;
  }
  if (state.turn.photos.length > 1) await asked();
}

export const clearTurned = () => change({turn: NO_TURN});

/** @param {{batch?: number, target?: boolean}} keep where to @param {string} words what was done */
export async function keepTurned(keep, words) {
  if (!(await asked({keep}))) return;
  await reloadBoot();
  tellNote(words);
}
