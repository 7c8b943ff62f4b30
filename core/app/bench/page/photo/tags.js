/**
 * The tags of the marks: name, color and words of what is read, each as large as a fingertip. On a wide stage they
 * stand beside their shapes; on a narrow one in a row under the photo, with a line to the chosen shape.
 */
import {h} from '../lib/dom.js';
import {cssColor} from '../lib/color.js';
import {bounds, handles} from '../lib/shape.js';
import {capital} from '../lib/words.js';
import {toScreen} from './view.js';

const TAG = {width: 168, height: 44};
const GAP = 4;
const CARD_TAG = 72; // wide: no reading stands in it
const CARD_RIM = 34; // from the corner patches' middles past the card's edge
/** A finger's breadth of screen pixels, and a little between two. */
export const HANDLE = 46;
const NARROW = 620; // a stage less wide has its tags in a row
/** Room under the photo for the row, where there are tags that always show. */
export const rowHeight = (width, marks) =>
  width < NARROW && marks.some((mark) => !mark.compact) ? TAG.height + 2 * GAP : 0;

function boxOnScreen(mark, view) {
  const points = (mark.corners ?? handles({...bounds(mark.shape), kind: 'rect'})).map((p) => toScreen(view, p));
  const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])];
  return {left: Math.min(...xs), right: Math.max(...xs), top: Math.min(...ys), bottom: Math.max(...ys)};
}

const seen = (box, room) => box.right > 0 && box.left < room.width && box.bottom > 0 && box.top < room.height;

/** Side by side under the photo, in the order of the marks; those without a reading take little room. */
function inRow(marks, room) {
  const shares = marks.map((mark) => (mark.corners ? 1.2 : 2));
  const unit = (room.width - GAP * (marks.length + 1)) / shares.reduce((sum, n) => sum + n, 0);
  let x = GAP;
  return marks.map((mark, i) => {
    const place = {mark, at: [x, room.height + GAP], width: unit * shares[i]};
    x += place.width + GAP;
    return place;
  });
}

/** Where the handles of the chosen mark are. */
function handleRoom(marks, view, selected) {
  const chosen = marks.find((mark) => mark.id === selected);
  if (!chosen) return null;
  const box = boxOnScreen(chosen, view);
  return {left: box.left - HANDLE, right: box.right + HANDLE, top: box.top - HANDLE, bottom: box.bottom + HANDLE};
}

/** Right of its shape, clear of the chosen one's handles, or left where there is no room. */
function beside(mark, view, room, kept) {
  const box = boxOnScreen(mark, view);
  const y = (box.top + box.bottom - TAG.height) / 2;
  const level = kept && y + TAG.height > kept.top && y < kept.bottom;
  const width = mark.corners ? CARD_TAG : TAG.width;
  const rim = mark.corners ? CARD_RIM : 8;
  const right = Math.max(box.right + rim, level && box.right > kept.left ? kept.right : 0);
  const left = Math.min(box.left - rim, level ? kept.left : Infinity) - width;
  return {mark, at: [right + width < room.width ? right : left, y], width};
}

/** Those that would cover each other are pushed apart. */
function besideShapes(marks, view, room, selected) {
  const kept = handleRoom(marks, view, selected);
  const list = marks.map((mark) => beside(mark, view, room, kept));
  list.sort((a, b) => a.at[1] - b.at[1]);
  list.forEach((one, i) => {
    for (const other of list.slice(0, i))
      if (Math.abs(one.at[0] - other.at[0]) < TAG.width && one.at[1] < other.at[1] + TAG.height + GAP)
        one.at[1] = other.at[1] + TAG.height + GAP;
  });
  const over = Math.max(0, ...list.map((one) => one.at[1] + TAG.height + GAP - room.height));
  for (const one of list) {
    one.at[0] = Math.min(Math.max(GAP, one.at[0]), Math.max(GAP, room.width - TAG.width - GAP));
    one.at[1] = Math.max(GAP, one.at[1] - over);
  }
  return list;
}

/** Which marks have a tag, and where. @returns {Array<{mark: *, at: [number, number], width: number}>} */
export function tagPlaces(marks, view, room, selected) {
  const tagged = marks.filter(
    (mark) => (!mark.compact || mark.id === selected) && (!mark.corners || mark.corners.length === 4),
  );
  if (room.row) return tagged.length ? inRow(tagged, room) : [];
  return besideShapes(
    tagged.filter((mark) => seen(boxOnScreen(mark, view), room)),
    view,
    room,
    selected,
  );
}

/** From the chosen mark's tag in the row to its shape. */
export function leaders(places, view, room, selected) {
  if (!room.row) return [];
  return places
    .filter(({mark}) => mark.id === selected && mark.shape && seen(boxOnScreen(mark, view), room))
    .map(({mark, at, width}) => {
      const box = boxOnScreen(mark, view);
      const to = {x1: at[0] + width / 2, y1: at[1], x2: (box.left + box.right) / 2, y2: box.bottom};
      return h(
        'g',
        {key: `${mark.id}:leader`},
        h('line', {class: 'halo thin', ...to}),
        h('line', {class: 'leader', ...to}),
      );
    });
}

const px = (v) => `${v.toFixed(1)}px`;

/** @param {{mark: import('./overlay.js').Mark, at: [number, number], width: number}} place */
export function tag({mark, at, width}, selected, readOnly) {
  const help = readOnly ? '' : '. Arrow keys move it, with Shift they change its size, Delete takes it away.';
  return h(
    'button',
    {
      key: `${mark.id}:label`,
      class: 'tag' + (mark.id === selected ? ' chosen' : '') + (mark.doubt ? ' doubted' : ''),
      type: 'button',
      style: {left: px(at[0]), top: px(at[1]), width: readOnly ? 'auto' : px(width), 'max-width': px(width)},
      'data-mark': mark.id,
      'aria-pressed': String(mark.id === selected),
    },
    mark.lab && h('i', {class: 'tag-color', style: {background: cssColor(mark.lab)}}),
    h('span', {class: 'tag-text'}, h('b', {}, capital(mark.label)), ' ', mark.says && h('small', {}, mark.says)),
    h('span', {class: 'unseen'}, mark.says || !mark.words ? help : `, ${mark.words}${help}`),
  );
}
