/** How the shop works, what was done, and the sample's bottles. */
import {ApiError, get, patch, remove} from '../lib/api.js';
import {changed} from './patterns.js';
import {change, state, tellNote} from './state.js';
import {reloadBoot} from './work.js';

async function loaded(name, path) {
  try {
    change({[name]: await get(path)});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    tellNote(error.message, {bad: true});
  }
}

export const loadSettings = () => loaded('settings', '/api/settings');
export const loadHistoryOfBook = () => loaded('entries', '/api/history?most=50');

const withUndo = () => ({undo: Boolean(state.work)});

/** @param {Object<string, ?string>} part a setting's name and its value as one types it; null: what is usual */
export async function saveSettings(part) {
  const settings = await changed(() => patch('/api/settings', part), 'Kept.', withUndo());
  if (settings) change({settings});
  else await loadSettings();
}

/** @param {string} id of a plugin  @param {Object<string, ?number>} values by name; null: what is usual */
export async function savePluginNumbers(id, values) {
  const path = `/api/plugins/${encodeURIComponent(id)}`;
  if (!(await changed(() => patch(path, {values}), 'Kept.', withUndo()))) await reloadBoot();
}

/** The bottles that came with the sample of chips, all in one act. */
export const removeSampleBottles = () =>
  changed(() => remove('/api/samples/chips-1'), 'The sample\u2019s bottles are gone.', withUndo());
