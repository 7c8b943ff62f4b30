/** Asks for the light and for each layer's reading whenever the marks differ from those read last. */
import {ApiError, post} from '../lib/api.js';
import {newest} from '../lib/newest.js';
import {lightOf} from './find.js';
import {change, listen, state, whenBack} from './state.js';

/* On the command line a card in the wrong order is told by another order of its corners; here it is turned. */
const cardWords = (text) => text.replace(/: try [-\d.,e]+\.$/, ': choose the card, and turn it.');

const lightKey = () => `${state.photo.id} ${JSON.stringify(lightOf(state.marks))}`;
const readingKey = (layer) => `${lightKey()} ${layer.shape}${state.aside ? ' aside' : ''}`;

/** Newest wins: an answer for marks that have moved on is still shown, since the next is already asked for. */
async function readLight(key) {
  try {
    const answer = await post(`/api/photos/${state.photo.id}/light`, lightOf(state.marks));
    change({light: {key, grid: answer.grid ?? null, light: answer.light ?? null, error: ''}});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    change({light: {key, grid: error.body?.grid ?? null, light: null, error: cardWords(error.message)}});
  }
}

/** A large region is looked at thinly while it is dragged, and in full once it has lain still for so long. */
const STILL_MS = 250;

/** @param {boolean} quick while dragging; a full answer counts only for marks that have not moved since */
async function readLayer(name, key, quick) {
  const layer = state.marks.layers.find((l) => l.name === name);
  if (!layer || !state.photo?.sharp) return;
  try {
    const reading = await post(`/api/photos/${state.photo.id}/measure`, {
      marks: lightOf(state.marks),
      shape: layer.shape,
      classes: state.aside,
      quick,
      pattern: state.work.pattern,
      layer: name,
    });
    const now = state.marks.layers.find((l) => l.name === name);
    if (!quick && (!now || readingKey(now) !== key)) return;
    change({readings: {...state.readings, [name]: {key, reading, error: ''}}});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    change({readings: {...state.readings, [name]: {key, reading: null, error: error.message}}});
  }
}

/** Whether what is shown belongs to the marks as they are. */
export const settledReading = (layer) => state.photo && state.readings[layer.name]?.key === readingKey(layer);

export function followReadings() {
  const askedLayers = new Map();
  const still = new Map();
  let askedLight = '';
  const ask = newest((name, key) => {
    if (name === 'light') return readLight(key);
    return readLayer(name.slice(name.indexOf(':') + 1), key, name.startsWith('layer:'));
  });
  const forget = () => {
    askedLight = '';
    askedLayers.clear();
    for (const timer of still.values()) clearTimeout(timer);
  };
  whenBack(forget);
  listen(() => {
    if (!state.photo?.sharp || !state.work) return forget();
    if (askedLight !== lightKey()) ask('light', (askedLight = lightKey()));
    for (const layer of state.marks.layers) {
      const key = readingKey(layer);
      if (askedLayers.get(layer.name) === key) continue;
      askedLayers.set(layer.name, key);
      ask(`layer:${layer.name}`, key);
      clearTimeout(still.get(layer.name));
      still.set(
        layer.name,
        setTimeout(() => ask(`whole:${layer.name}`, key), STILL_MS),
      );
    }
    return undefined;
  });
}
