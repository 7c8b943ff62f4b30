/** Marks on the photo at hand: what is chosen, drawn, moved and taken away. */
import {ApiError, post} from '../lib/api.js';
import {change, state, swirled, tellNote} from './state.js';
import {drawMarks} from './work.js';
import {moved, parseShape, shapeText} from '../lib/shape.js';

export const layerId = (name) => `layer:${name}`;
export const layerName = (id) => (id?.startsWith('layer:') ? id.slice(6) : null);
export const MIDDLE_GRAY = 0.18;

/**
 * What the marks carry beside themselves stays: the pours before the photo, what was found in it, and that they are an
 * older photo's.
 */
function setMarks(marks, done) {
  const {poured = 0, carried, found} = state.marks;
  drawMarks({...(found && {found}), ...marks, poured, ...(carried && marks.layers.length > 0 && {carried})}, done);
}

/** Whether the layers are still where they were on the photo before, and nobody said that they lie right. */
export const carried = () => Boolean(state.marks.carried);

/** The layers of the photo before lie right on this one, too. */
export function lieRight() {
  const {carried: _, ...marks} = state.marks;
  drawMarks(marks, true);
}

export const cornersOf = (card) =>
  Array.from(
    {length: 4},
    (_, i) => /** @type {[number, number]} */ ([card.corners[2 * i], card.corners[2 * i + 1]]),
  );
const flat = (corners) => corners.flat().map((v) => Math.round(v * 10) / 10);

export function hasMark(id) {
  if (id === 'card') return Boolean(state.marks.card);
  if (id === 'gray') return Boolean(state.marks.gray);
  return state.marks.layers.some((l) => l.name === layerName(id));
}

/** Cups whose layers have a place in the bait: a swirl's have none. */
export const placedCups = () => (swirled() ? [] : (state.work?.cups ?? []));

/** What is still to be marked, in order. */
export function unmarked() {
  const light = state.marks.card || state.marks.gray ? [] : ['card'];
  return [...light, ...placedCups().map((cup) => layerId(cup.layer)).filter((id) => !hasMark(id))];
}

/** @param {?string} id */
export function select(id) {
  if (id?.startsWith('bait:')) return chooseBait(Number(id.slice(5)));
  if (id !== state.selected) change({selected: id, redraw: false, corners: []});
  return undefined;
}

/* ---- baits that were found */

const layerNames = () => state.work.cups.map((cup) => cup.layer);

const NOTHING_FOUND = {baits: [], bait: null, words: '', notes: []};

/**
 * What was found in the photo at hand: its baits, which of them is marked, and what was said of it.
 * @returns {{baits: Array<{outline: string, shapes: string[], shares: number[], turned: boolean, notes: string[]}>, bait: ?number, words: string, notes: string[]}}
 */
export const foundHere = () =>
  (state.photo && state.photo.id === state.work?.photo && state.marks.found) || NOTHING_FOUND;

/** The layers of a bait as marks, back first unless it was turned. @param {Object} bait */
export function layersOf(bait) {
  const shapes = bait.turned ? [...bait.shapes].reverse() : bait.shapes;
  return layerNames().map((name, i) => ({name, shape: shapes[i]}));
}

/** What is marked is one of the baits found: another comes in its place. @param {number} i */
export function chooseBait(i) {
  const found = foundHere();
  change({selected: null, redraw: false});
  setMarks({...state.marks, found: {...found, bait: i}, layers: layersOf(found.baits[i])}, true);
}

/** Back and belly the other way round. */
export function turnLayers() {
  const {marks} = state;
  const {found = NOTHING_FOUND} = marks;
  const names = layerNames().filter((name) => hasMark(layerId(name)));
  const shapes = names.map((name) => marks.layers.find((l) => l.name === name).shape).reverse();
  const baits = found.baits.map((b, i) => (i === found.bait ? {...b, turned: !b.turned} : b));
  const layers = names.map((name, i) => ({name, shape: shapes[i]}));
  setMarks({...marks, ...(found.bait !== null && {found: {...found, baits}}), layers}, true);
}

/* ---- marks by hand */

/** Layers that still lie where they lay on another photo move together: the bait was moved. */
function movedTogether(id, shape) {
  const {layers} = state.marks;
  const first = (s) => (s.kind === 'poly' ? s.points[0] : [s.x ?? s.cx, s.y ?? s.cy]);
  const from = first(parseShape(layers.find((l) => layerId(l.name) === id).shape));
  const to = first(shape);
  const move = (text) => shapeText(moved(parseShape(text), to[0] - from[0], to[1] - from[1], state.photo));
  return layers.map((l) => ({
    ...l,
    shape: layerId(l.name) === id ? shapeText(shape) : move(l.shape),
  }));
}

const sameSize = (text, shape) => {
  const old = parseShape(text);
  if (old.kind !== shape.kind) return false;
  if (old.kind === 'rect') return Math.abs(old.w - shape.w) < 0.6 && Math.abs(old.h - shape.h) < 0.6;
  if (old.kind === 'ellipse') return Math.abs(old.rx - shape.rx) < 0.2 && Math.abs(old.ry - shape.ry) < 0.2;
  const [dx, dy] = [shape.points[0][0] - old.points[0][0], shape.points[0][1] - old.points[0][1]];
  const off = (p, i) => Math.hypot(p[0] - old.points[i][0] - dx, p[1] - old.points[i][1] - dy);
  return shape.points.every((p, i) => off(p, i) < 0.3);
};

/** @param {string} id @param {*} value corners or a shape @param {boolean} done false while a finger still moves it */
export function setMark(id, value, done) {
  const {card, gray, layers} = state.marks;
  if (id === 'card')
    return setMarks({card: {set: card?.set ?? 'grid24', corners: flat(value)}, layers}, done);
  if (id === 'gray')
    return setMarks({gray: {shape: shapeText(value), y: gray?.y ?? MIDDLE_GRAY}, layers}, done);
  const mark = {name: layerName(id), shape: shapeText(value)};
  const before = layers.find((l) => l.name === mark.name);
  if (carried() && before && sameSize(before.shape, value))
    return setMarks({...state.marks, layers: movedTogether(id, value)}, done);
  const has = Boolean(before);
  const next = has ? layers.map((l) => (l.name === mark.name ? {...l, ...mark} : l)) : [...layers, mark];
  return setMarks({...state.marks, layers: next}, done);
}

/** After one is marked the next that lacks a mark comes up by itself. */
export function drawn(value) {
  const id = state.selected;
  if (!id) return;
  const first = !hasMark(id);
  setMark(id, value, true);
  change({redraw: false});
  if (first) select(unmarked()[0] ?? null);
}

/** Corners as they were pointed at, laid on the patches by the server. @param {number[]} corners six or eight numbers */
async function settleCard(corners) {
  try {
    return await post(`/api/photos/${state.photo.id}/card`, {set: state.marks.card?.set ?? 'grid24', corners});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    tellNote(error.message, {bad: true});
    return null;
  }
}

function takeCard(corners) {
  setMarks({...state.marks, gray: undefined, card: {set: state.marks.card?.set ?? 'grid24', corners}}, true);
  change({corners: [], redraw: false});
  select(unmarked()[0] ?? null);
}

/** One corner of the card tapped. Where three tell the fourth, it is not asked for. */
export async function addCorner(point) {
  if (state.corners.length > 3) return;
  const corners = [...state.corners, point];
  change({corners});
  if (corners.length < 3) return;
  const answer = await settleCard(flat(corners));
  if (state.corners !== corners || (corners.length === 3 && !answer?.settled)) return;
  takeCard(answer?.corners ?? flat(corners));
}

/** Laid the other way round where it fits so; else only another order of its corners. */
export async function turnCard() {
  const c = cornersOf(state.marks.card);
  const turned = flat([c[1], c[2], c[3], c[0]]);
  const answer = await settleCard(turned);
  setMarks({...state.marks, card: {...state.marks.card, corners: answer?.corners ?? turned}}, true);
}

/** All four corners at once, in the middle of the photo, to be moved. */
export function placeCard() {
  const {width, height} = state.photo;
  const w = Math.min(width, height * 1.5) * 0.2;
  const [cx, cy] = [width / 2, height / 2];
  setMark(
    'card',
    [
      [cx - w, cy - w / 1.7],
      [cx + w, cy - w / 1.7],
      [cx + w, cy + w / 1.7],
      [cx - w, cy + w / 1.7],
    ],
    true,
  );
  change({corners: [], redraw: false});
}

export function setGrayLevel(y) {
  if (state.marks.gray) setMarks({...state.marks, gray: {...state.marks.gray, y}}, true);
}

/** @param {string} id */
export function removeMark(id) {
  const {card, gray, layers} = state.marks;
  const left = {layers: layers.filter((l) => layerId(l.name) !== id)};
  if (card && id !== 'card') left.card = card;
  if (gray && id !== 'gray') left.gray = gray;
  setMarks(left, true);
}
