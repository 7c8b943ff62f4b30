/** Chips pointed at in a photo, before they are kept: a draft that stays on this device. */
import {ApiError, get, patch, post, remove} from '../lib/api.js';
import {recall, remember} from '../lib/memory.js';
import {parseShape, shapeText} from '../lib/shape.js';
import {tidy} from '../lib/words.js';
import {snapChip} from './chip-snap.js';
import {photoFromServer} from './photo.js';
import {change, state} from './state.js';

/**
 * One backing of a chip; both halves of a chip have the same `pair`.
 * @typedef {{recipe: string, thickness_mm: number, over: string, shape: string, pair: number}} Part
 */

/* Drops per fl oz that chips are poured with, each twice the one before. */
const LOADINGS = [0.125, 0.25, 0.5, 1, 2, 4, 8, 16, 32];
const FOURFOLD = 2; // steps: the usual next chip of a bottle
const FIRST = 0.5;
const THICKNESS = {least: 1, most: 12, step: 0.5};

const emptyDraft = () => ({photo: null, marks: {}, chips: [], rows: []});
export const draft = {...emptyDraft(), ...recall('chips', {})};
draft.chips.forEach((part, i) => (part.pair ??= i)); // kept before parts were paired
/** What the next tap is, and what changes by itself behind it. */
export const hand = {
  parts: [{bottle: '', loading: FIRST}],
  first: FIRST,
  thickness_mm: 3,
  then: 'stronger',
  mixing: false,
};
/** What is seen while one works. */
export const now = {
  photo: null,
  selected: null,
  corners: [],
  grid: null,
  radii: [],
  busy: '',
  error: '',
  lightError: '',
  /** What the book has, once it was asked for; and the one of them that is being corrected. */
  inBook: null,
  edit: null,
};

export function keep() {
  remember('chips', {photo: draft.photo, marks: draft.marks, chips: draft.chips, rows: draft.rows});
  change({});
}

/* ---- recipes */

const recipeText = (parts) =>
  parts
    .filter((part) => part.bottle)
    .map((part) => `${part.bottle}=${part.loading}`)
    .join(';');

const partsOf = (recipe) => {
  const parts = recipe
    .split(/[;,]/)
    .filter(Boolean)
    .map((text) => text.split('='))
    .map(([bottle, loading]) => ({bottle: bottle.trim(), loading: Number(loading)}));
  return parts.length ? parts : [{bottle: '', loading: FIRST}];
};

export const recipeWords = (recipe) =>
  recipe ? partsOf(recipe).map((part) => `${part.bottle} ${tidy(part.loading)}`).join(', ') : 'clear base';

/** The chip that is chosen, both of its halves; [] for none. `now.selected` is one of them. */
export const chosen = () => {
  const part = draft.chips[Number(now.selected ?? NaN)];
  return part ? draft.chips.filter((other) => other.pair === part.pair) : [];
};

/** What the palette shows: the chosen chip's recipe, else that of the next tap. */
export function shownParts() {
  if (now.edit) return now.edit.parts;
  return chosen().length ? partsOf(chosen()[0].recipe) : hand.parts;
}

function setParts(parts) {
  if (now.edit) {
    now.edit.parts = parts;
    return change({});
  }
  if (chosen().length) {
    for (const part of chosen()) part.recipe = recipeText(parts);
    return keep();
  }
  hand.parts = parts;
  return change({});
}

/** A bottle, or "" for clear base. While mixing it joins those chosen before. */
export function chooseBottle(bottle) {
  const parts = shownParts();
  const join = hand.mixing && bottle && parts[0].bottle && !parts.some((part) => part.bottle === bottle);
  const loading = now.edit || chosen().length ? parts[0].loading : hand.first;
  hand.mixing = false;
  setParts(join ? [...parts, {bottle, loading: FIRST}] : [{bottle, loading}]);
}

export function startMixing() {
  hand.mixing = !hand.mixing;
  change({});
}

function stepped(loading, by) {
  const off = (i) => Math.abs(Math.log(LOADINGS[i] / loading));
  const near = LOADINGS.reduce((best, _, i) => (off(i) < off(best) ? i : best), 0);
  return LOADINGS[Math.min(Math.max(0, near + by), LOADINGS.length - 1)];
}

/** Twice or half as many drops of the bottle chosen last. @param {1|-1} by */
export function stepLoading(by) {
  const parts = shownParts();
  const last = parts.length - 1;
  const loading = stepped(parts[last].loading, by);
  if (!now.edit && !chosen().length && last === 0) hand.first = loading;
  setParts(parts.map((part, i) => (i === last ? {...part, loading} : part)));
}

export const shownThickness = () => now.edit?.thickness_mm ?? chosen()[0]?.thickness_mm ?? hand.thickness_mm;

export function stepThickness(by) {
  const of = shownThickness();
  const mm = Math.min(Math.max(THICKNESS.least, of + by * THICKNESS.step), THICKNESS.most);
  if (now.edit) now.edit.thickness_mm = mm;
  else if (chosen().length) for (const part of chosen()) part.thickness_mm = mm;
  else hand.thickness_mm = mm;
  keep();
}

export function setThen(then) {
  hand.then = then;
  change({});
}

/** Bottles that chips can be of, as they stand on the shelf. */
export const bottles = () => state.boot?.shelf.bottles ?? [];

/** Behind a tap: along the row the same bottle is stronger, or the next bottle is as strong. */
function afterTap() {
  const [{bottle, loading}, ...more] = hand.parts;
  if (!bottle || more.length || hand.then === 'same') return;
  const ids = bottles().map((b) => b.id);
  const next = ids[(ids.indexOf(bottle) + 1) % ids.length] ?? bottle;
  hand.parts = hand.then === 'stronger' ? [{bottle, loading: stepped(loading, FOURFOLD)}] : [{bottle: next, loading}];
}

/* ---- pointing */

const usualRadius = () => [...now.radii].sort((a, b) => a - b)[Math.floor(now.radii.length / 2)] ?? null;
let pointing = Promise.resolve();

async function pointAt(tap, recipe, thickness_mm) {
  const snapped = await snapChip(now.photo, tap, usualRadius());
  if (snapped.radius) now.radii.push(snapped.radius);
  const pair = Math.max(-1, ...draft.chips.map((part) => part.pair)) + 1;
  for (const {over, shape} of snapped.parts)
    draft.chips.push({recipe, thickness_mm, pair, over, shape: shapeText(shape)});
  keep();
}

/** A tap on a chip. Taps may come faster than the picture around each is looked at. @param {[number, number]} tap */
export function pointAtChip(tap) {
  const recipe = recipeText(hand.parts);
  const {thickness_mm} = hand;
  afterTap();
  pointing = pointing.then(() => pointAt(tap, recipe, thickness_mm)).catch((e) => {
    now.error = e instanceof ApiError ? e.message : 'The photo around this chip could not be looked at: tap it again.';
    change({});
  });
  change({});
  return pointing;
}

/** The chip with both its halves. @param {number} pair */
export function removeChip(pair) {
  draft.chips = draft.chips.filter((part) => part.pair !== pair);
  now.selected = null;
  keep();
}

export const removeLast = () => removeChip(Math.max(...draft.chips.map((part) => part.pair)));

export function choose(id) {
  now.selected = now.selected === id ? null : id;
  hand.mixing = false;
  change({});
}

/* ---- chips that the book has */

/** One change of the book's chips, or only a look at them. @param {() => Promise<Object>} run gives the list as it is */
async function withBook(run) {
  try {
    Object.assign(now, {inBook: (await run()).chips, edit: null, error: ''});
  } catch (e) {
    if (!(e instanceof ApiError)) throw e;
    now.error = e.message;
  }
  change({});
}

export const showBook = () => withBook(() => get('/api/chips'));
export const removeFromBook = (id) => withBook(() => remove(`/api/chips/${id}`));
/** The palette then shows this chip. @param {?Object} chip null: none any more */
export function editInBook(chip) {
  now.selected = null;
  now.edit = chip && {id: chip.id, parts: partsOf(chip.recipe), thickness_mm: chip.thickness_mm};
  change({});
}
export const keepEdit = () =>
  withBook(() =>
    patch(`/api/chips/${now.edit.id}`, {recipe: recipeText(now.edit.parts), thickness_mm: now.edit.thickness_mm}),
  );

/* ---- photo and card */

export async function readLight() {
  if (!draft.photo || !draft.marks.card) return;
  try {
    const answer = await post(`/api/photos/${draft.photo}/light`, {card: draft.marks.card});
    [now.grid, now.lightError] = [answer.grid ?? null, ''];
  } catch (e) {
    if (!(e instanceof ApiError)) throw e;
    [now.grid, now.lightError] = [e.body?.grid ?? null, e.message];
  }
  change({});
}

export function setCard(corners, done = true) {
  draft.marks = {card: {set: 'grid24', corners: corners.map((v) => Math.round(v * 10) / 10)}};
  if (!done) return void change({});
  Object.assign(now, {corners: [], selected: null});
  keep();
  return void readLight();
}

export function removeCard() {
  draft.marks = {};
  Object.assign(now, {grid: null, corners: []});
  keep();
}

/** Three corners tell the fourth; where they do not, it is tapped too. */
export async function cardCorner(point) {
  if (now.corners.length > 3) return;
  const corners = [...now.corners, point];
  now.corners = corners;
  change({});
  if (corners.length < 3) return;
  const answer = await post(`/api/photos/${draft.photo}/card`, {corners: corners.flat()}).catch(() => null);
  if (now.corners !== corners || (corners.length === 3 && !answer?.settled)) return;
  setCard(answer?.corners ?? corners.flat());
}

const partsFrom = (layers) =>
  layers
    .filter((l) => l.over)
    .map(({recipe, thickness_mm, over, shape}, i) => ({recipe, thickness_mm, over, shape, pair: Math.floor(i / 2)}));

/* ---- a whole sheet of them, found */

/**
 * A row of chips that was found, and what the person says is in it.
 * @typedef {{chips: Array<{black: string, white: string}>, bottle: string, loadings: string}} Row
 */

const USUAL = {few: '0.5, 2, 8', many: [1, 2, 4, 8, 16, 32]};
const usualLoadings = (n) => (n === 3 ? USUAL.few : USUAL.many.slice(0, n).join(', '));
const rowOf = (chips) => ({chips, bottle: '', loadings: usualLoadings(chips.length)});

const numbers = (text) => text.split(/[\s,;]+/).filter(Boolean).map(Number);

/** What is wrong with what a row is said to hold; "" when nothing is. @param {Row} row @param {number} i */
export function rowFault(row, i) {
  const n = row.chips.length;
  const given = numbers(row.loadings);
  if (!row.bottle || (given.length === n && given.every((v) => v >= 0))) return '';
  return `Row ${i + 1} has ${n} chips: give ${n} numbers of drops, 0 for clear base.`;
}

/** Rows that nobody has said anything of take over how many drops the others have. @param {number} i @param {Partial<Row>} part */
export function sayRow(i, part) {
  Object.assign(draft.rows[i], part);
  const {loadings, chips} = draft.rows[i];
  for (const other of draft.rows) if (!other.bottle && other.chips.length === chips.length) other.loadings = loadings;
  keep();
}

const rowParts = ({bottle, loadings, chips}) =>
  numbers(loadings).map((loading, k) => ({recipe: loading > 0 ? `${bottle}=${loading}` : '', ...chips[k]}));

/** The chips of all rows that have a bottle, as if each had been pointed at. */
export function takeRows() {
  const {thickness_mm} = hand;
  const chips = draft.rows.filter((row) => row.bottle).flatMap(rowParts);
  draft.chips = chips.flatMap(({recipe, black, white}, pair) => [
    {recipe, thickness_mm, pair, over: 'black', shape: black},
    {recipe, thickness_mm, pair, over: 'white', shape: white},
  ]);
  leaveRows();
}

export function leaveRows() {
  draft.rows = [];
  keep();
}

/** Card and rows; what cannot be searched is marked by hand. */
async function findSheet(id) {
  const found = await post(`/api/photos/${id}/sheet`).catch(() => null);
  return {card: found?.card && {set: 'grid24', corners: found.card.corners}, rows: (found?.rows ?? []).map(rowOf)};
}

/** @param {() => Promise<Object>} run gives a photo the server has */
export async function takePhoto(run) {
  Object.assign(now, {error: '', busy: 'Looking for the card and the chips.'});
  change({});
  try {
    const info = await run();
    const {card, rows} = info.marks?.card ? {card: info.marks.card, rows: []} : await findSheet(info.id);
    const chips = partsFrom(info.marks?.layers ?? []);
    Object.assign(draft, {photo: info.id, marks: card ? {card} : {}, chips, rows});
    Object.assign(now, {photo: await photoFromServer(info.id), selected: null, corners: [], grid: null, radii: []});
    readLight();
  } catch (e) {
    if (!(e instanceof ApiError)) throw e;
    now.error = e.message;
  }
  now.busy = '';
  keep();
}

export function leavePhoto() {
  Object.assign(draft, emptyDraft());
  Object.assign(now, {photo: null, selected: null, grid: null});
  keep();
}

/** Brings the draft's photo back after a reload. */
export async function enterChips() {
  if (!draft.photo || now.photo?.id === draft.photo) return;
  try {
    now.photo = await photoFromServer(draft.photo);
    readLight();
  } catch (e) {
    if (!(e instanceof ApiError)) throw e;
    Object.assign(draft, emptyDraft());
    now.error = e.message;
  }
  change({});
}

/** Moved or resized by hand. @param {string} id index of a part @param {*} shape */
export function movePart(id, shape, done) {
  draft.chips[Number(id)].shape = shapeText(shape);
  if (done) keep();
  else change({});
}

export const partShape = (part) => parseShape(part.shape);
