/** Marks on the photo at hand: what is chosen, drawn, moved and taken away. */
import {change, state} from './state.js';
import {drawMarks} from './work.js';
import {shapeText} from '../lib/shape.js';

export const layerId = (name) => `layer:${name}`;
export const layerName = (id) => (id?.startsWith('layer:') ? id.slice(6) : null);
const MIDDLE_GRAY = 0.18;

const setMarks = (marks, done) => drawMarks({...marks, poured: state.marks.poured ?? 0}, done);

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

/** What is still to be marked, in order. */
export function unmarked() {
  const light = state.marks.card || state.marks.gray ? [] : ['card'];
  return [
    ...light,
    ...(state.work?.cups ?? []).map((cup) => layerId(cup.layer)).filter((id) => !hasMark(id)),
  ];
}

/** @param {?string} id */
export function select(id) {
  if (id !== state.selected) change({selected: id, redraw: false, corners: []});
}

/** @param {string} id @param {*} value corners or a shape @param {boolean} done false while a finger still moves it */
export function setMark(id, value, done) {
  const {card, gray, layers} = state.marks;
  if (id === 'card')
    return setMarks({card: {set: card?.set ?? 'grid24', corners: flat(value)}, layers}, done);
  if (id === 'gray')
    return setMarks({gray: {shape: shapeText(value), y: gray?.y ?? MIDDLE_GRAY}, layers}, done);
  const mark = {name: layerName(id), shape: shapeText(value)};
  const has = layers.some((l) => l.name === mark.name);
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

/** One corner of the card tapped. */
export function addCorner(point) {
  const corners = [...state.corners, point];
  if (corners.length < 4) return change({corners});
  setMark('card', corners, true);
  change({corners: [], redraw: false});
  select(unmarked()[0] ?? null);
  return undefined;
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

/** The card turned by a quarter or mirrored: only another order of its points. */
export function turnCard(mirror) {
  const c = cornersOf(state.marks.card);
  setMark('card', mirror ? [c[1], c[0], c[3], c[2]] : [c[1], c[2], c[3], c[0]], true);
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
