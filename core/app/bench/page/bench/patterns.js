/** Patterns with their targets, and the shelf. */
import {ApiError, get, patch, post, remove} from '../lib/api.js';
import {change, state, tellNote} from './state.js';
import {reloadBoot, startWork} from './work.js';

/** Runs a change and takes the lists anew. @returns {Promise<*>} the answer, or null with the reason told */
export async function changed(run, text, how = {}) {
  try {
    const answer = await run();
    await reloadBoot();
    if (text) tellNote(text, how);
    return answer ?? true;
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    tellNote(error.message, {bad: true});
    return null;
  }
}

/** @param {string} name @param {string[]} layers */
export async function makePattern(name, layers, note = '', swirl = false) {
  const made = await changed(() => post('/api/patterns', {name, note, layers, ...(swirl && {swirl})}));
  return made && (await startWork(made.id)) ? made : null;
}

export const renamePattern = (id, name, note) =>
  changed(() => patch(`/api/patterns/${id}`, {name, note}), 'Renamed.');
/** How see-through a layer is to be; null leaves it open. */
export const setSeeThrough = (id, layer, ratio) =>
  changed(() => patch(`/api/patterns/${id}`, {see_through: {[layer]: ratio}}), 'Noted.');
/** The natural tone that a layer is held to; null: none. */
export const setTone = (id, layer, tone) =>
  changed(() => patch(`/api/patterns/${id}`, {tone: {[layer]: tone}}), 'Noted.');
/** @param {boolean|number[]} swirl true: any shares; a list: of each color, in percent; false: layers in order */
export const setSwirl = (id, swirl) => changed(() => patch(`/api/patterns/${id}`, {swirl}), 'Noted.');
export const removePattern = (id) =>
  changed(() => remove(`/api/patterns/${id}`), 'The pattern is gone, with its targets.');

/** @param {number} id @param {string} layer @param {Object} target lab, uncertainty_de00, photo, detail */
export async function setTarget(id, layer, target) {
  const done = await changed(() =>
    post(`/api/patterns/${id}/targets`, {layer, photo: null, uncertainty_de00: 0, detail: {}, ...target}),
  );
  if (done) await loadHistory(id, layer);
  return done;
}

/** How a target was obtained from the photo at hand, its flake included. @param {string} layer @param {Object} r its reading */
export const targetDetail = (layer, r) => ({
  shape: state.marks.layers.find((l) => l.name === layer)?.shape ?? '',
  shares: r.shares,
  photos: [{photo: state.photo.id, layer, flake: {...r.flake, share: r.shares.flake}}],
});

/** The readings of the photo at hand become what is aimed for. @param {number} id @param {string[]} layers @returns {Promise<boolean>} */
export async function targetsFromPhoto(id, layers) {
  change({busy: 'targets'});
  let all = true;
  for (const layer of layers) {
    const r = state.readings[layer]?.reading;
    if (!r) continue;
    const done = await changed(() =>
      post(`/api/patterns/${id}/targets`, {
        layer,
        lab: r.lab,
        uncertainty_de00: r.uncertainty_de00,
        photo: state.photo.id,
        detail: targetDetail(layer, r),
      }),
    );
    all = all && Boolean(done);
  }
  change({busy: ''});
  if (all) tellNote('These colors are now what you aim for.');
  return all;
}

export async function loadHistory(id, layer) {
  try {
    const list = await get(`/api/patterns/${id}/targets?layer=${encodeURIComponent(layer)}`);
    change({history: {...state.history, [`${id} ${layer}`]: list.targets}});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    tellNote(error.message, {bad: true});
  }
}

/** @param {number} id of a pattern */
export async function loadDrift(id) {
  change({drift: {pattern: id, data: state.drift.pattern === id ? state.drift.data : null, error: ''}});
  try {
    const data = await get(`/api/patterns/${id}/drift`);
    if (state.drift.pattern === id) change({drift: {pattern: id, data, error: ''}});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    if (state.drift.pattern === id) change({drift: {pattern: id, data: null, error: error.message}});
  }
}

export async function openBatch(id) {
  try {
    change({batch: {id, ...(await get(`/api/batches/${id}`))}});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    tellNote(error.message, {bad: true});
  }
}

export async function judgeBatch(id, good, note) {
  const done = await changed(() => patch(`/api/batches/${id}`, {good, note}), 'Noted.');
  if (done) change({batch: done});
}

/* ---- bottles */

export const changeBottle = (id, part) =>
  changed(() => patch(`/api/shelf/${encodeURIComponent(id)}`, part), 'Noted.');
export const addBottle = (bottle) =>
  changed(() => post('/api/shelf', bottle), `${bottle.title} stands on the shelf.`);
export const removeBottle = (id) =>
  changed(() => remove(`/api/shelf/${encodeURIComponent(id)}`), 'The bottle is off the shelf.');
export const newLot = (id, name) =>
  changed(
    () => post(`/api/shelf/${encodeURIComponent(id)}/lot`, {name}),
    'A new lot: what was learned of the old one no longer counts.',
  );

/** Saves the chips pointed at and fits the bottles to all chips there are. */
export async function fitChips(photo, marks, chips) {
  change({busy: 'fit', fit: {report: null, error: ''}});
  try {
    await post('/api/chips', {photo, marks, chips});
    const answer = await post('/api/fit', {});
    await reloadBoot();
    change({fit: {report: answer.report, error: ''}, busy: ''});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    change({fit: {report: null, error: error.message}, busy: ''});
  }
}
