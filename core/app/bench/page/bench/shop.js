/** How the shop works, what was done, and the sample's bottles. */
import {ApiError, ask, get, patch} from '../lib/api.js';
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

/** @param {Object<string, ?string>} part a setting's name and its value as one types it; null: what is usual */
export async function saveSettings(part) {
  try {
    change({settings: await patch('/api/settings', part)});
    await reloadBoot();
    tellNote('Kept.', {undo: Boolean(state.work)});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    tellNote(error.message, {bad: true});
    await loadSettings();
  }
}

/** @param {string} id of a plugin  @param {Object<string, ?number>} values by name; null: what is usual */
export async function savePluginNumbers(id, values) {
  try {
    await patch(`/api/plugins/${encodeURIComponent(id)}`, {values});
    await reloadBoot();
    tellNote('Kept.', {undo: Boolean(state.work)});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    tellNote(error.message, {bad: true});
    await reloadBoot();
  }
}

/** The bottles that came with the sample of chips, all in one act. */
export async function removeSampleBottles() {
  try {
    await ask('DELETE', '/api/samples/chips-1', {json: {}});
    await reloadBoot();
    tellNote('The sample\u2019s bottles are gone.', {undo: Boolean(state.work)});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    tellNote(error.message, {bad: true});
  }
}
