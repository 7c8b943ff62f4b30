/** What is drawn over the photo, and the buttons that take hold of it. Descriptions only; screen pixels. */
import {h} from '../lib/dom.js';
import {bounds, handles, handleNames} from '../lib/shape.js';
import {toScreen} from './view.js';

/**
 * One mark. A card has `corners` (0 to 4 points in the chart's order), others a `shape`.
 * @typedef {{id: string, label: string, corners?: Array<[number, number]>, shape?: import('../lib/shape.js').Shape,
 *   words?: string, compact?: boolean}} Mark  compact: one of many; its label shows only while it is chosen, and a tap on it chooses it
 */

/** The corner patches of the usual card, in the chart's own order. */
export const CORNER_NAMES = [
  'brown corner',
  'teal end of first row',
  'black end of last row',
  'white start of last row',
];
const HANDLE = 46; // a finger's breadth of screen pixels, and a little between two
const TAG_HEIGHT = 26;
const TAG_WIDTH = 76;
const CORNER_SHORT = ['brown', 'teal', 'black', 'white'];

const join = (points) => points.map((p) => p.map((v) => v.toFixed(1)).join(',')).join(' ');

function outline(mark, view) {
  const s = mark.shape;
  if (s.kind === 'ellipse') {
    const [cx, cy] = toScreen(view, [s.cx, s.cy]);
    return (props) => h('ellipse', {...props, cx, cy, rx: s.rx * view.scale, ry: s.ry * view.scale});
  }
  const points = s.kind === 'rect' ? handles(s) : s.points;
  return (props) => h('polygon', {...props, points: join(points.map((p) => toScreen(view, p)))});
}

function drawnShape(mark, view, chosen) {
  const form = outline(mark, view);
  const kind = chosen ? ' chosen' : '';
  return h('g', {key: mark.id}, form({class: 'halo' + kind}), form({class: 'edge' + kind}));
}

function drawnCard(mark, view, chosen) {
  const points = mark.corners.map((p) => toScreen(view, p));
  const kind = chosen ? ' chosen' : '';
  return h(
    'g',
    {key: mark.id},
    h('polygon', {class: 'halo' + kind, points: join(points)}),
    h('polygon', {class: 'edge dashed' + kind, points: join(points)}),
  );
}

function drawnGrid(grid, view) {
  return (grid ?? []).map((patch) => {
    const points = [0, 2, 4, 6].map((i) => toScreen(view, [patch[i], patch[i + 1]]));
    return [
      h('polygon', {class: 'halo thin', points: join(points)}),
      h('polygon', {class: 'patch', points: join(points)}),
    ];
  });
}

/** @param {{marks: Array<Mark>, grid: ?Array<Array<number>>, selected: ?string, line: Array<[number, number]>}} what */
export function drawing({marks, grid, selected, line}, view) {
  return [
    drawnGrid(grid, view),
    marks.map((mark) =>
      mark.corners
        ? !grid?.length && drawnCard(mark, view, mark.id === selected)
        : drawnShape(mark, view, mark.id === selected),
    ),
    line.length > 1 &&
      h('polyline', {class: 'edge chosen', points: join(line.map((p) => toScreen(view, p)))}),
  ];
}

function placed([x, y]) {
  return {left: `${x.toFixed(1)}px`, top: `${y.toFixed(1)}px`};
}

function handle(mark, i, at, name, short) {
  return h(
    'button',
    {
      key: `${mark.id}:${i}`,
      class: 'handle' + (mark.corners ? ' corner' : ''),
      type: 'button',
      style: placed(at),
      'data-mark': mark.id,
      'data-handle': i,
      'aria-label': `${mark.label}, ${name}. Arrow keys move it.`,
    },
    short && h('span', {class: 'corner-name'}, short),
  );
}

/**
 * Handles stand a little outside their shape, so that they leave a small one visible and each other free for a finger.
 * Those of a freehand shape stand where its points are.
 */
function outward([x, y], shape, view) {
  const box = bounds(shape);
  const [cx, cy] = toScreen(view, [box.x + box.w / 2, box.y + box.h / 2]);
  const [dx, dy] = [x - cx, y - cy];
  if (shape.kind === 'rect')
    return [
      cx + Math.sign(dx) * Math.max(Math.abs(dx) + 9, HANDLE / 2),
      cy + Math.sign(dy) * Math.max(Math.abs(dy) + 9, HANDLE / 2),
    ];
  const far = Math.hypot(dx, dy) || 1;
  const out = shape.kind === 'ellipse' ? Math.max(far + 12, HANDLE * Math.SQRT1_2) : far + 12;
  return [cx + (dx / far) * out, cy + (dy / far) * out];
}

const handlePlaces = (mark, view) =>
  mark.corners
    ? mark.corners.map((p) => toScreen(view, p))
    : handles(mark.shape).map((p) => outward(toScreen(view, p), mark.shape, view));

function markHandles(mark, view) {
  const names = mark.corners ? CORNER_NAMES.map((name, i) => `${i + 1} ${name}`) : handleNames(mark.shape);
  return handlePlaces(mark, view).map((at, i) =>
    handle(mark, i, at, names[i], mark.corners ? `${i + 1} ${CORNER_SHORT[i]}` : null),
  );
}

/** Right of a shape, level with its middle; above a card. */
function labelPlace(mark, view, selected) {
  const points = mark.corners ?? handles({...bounds(mark.shape), kind: 'rect'});
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  const [right, top] = toScreen(view, [Math.max(...xs), Math.min(...ys)]);
  if (mark.corners) return [right - 30, top - 44];
  const bottom = toScreen(view, [0, Math.max(...ys)])[1];
  const handlesEnd = Math.max(...handlePlaces(mark, view).map((p) => p[0])) + HANDLE / 2;
  return [(mark.id === selected ? handlesEnd : right + 5) + 3, (top + bottom) / 2 - TAG_HEIGHT / 2];
}

/** Labels that would cover each other are pushed apart, top to bottom, and all are kept in sight. */
function labelPlaces(marks, view, room, selected) {
  const list = marks
    .map((mark) => ({mark, at: labelPlace(mark, view, selected)}))
    .sort((a, b) => a.at[1] - b.at[1]);
  list.forEach((one, i) => {
    for (const other of list.slice(0, i)) {
      const beside = Math.abs(one.at[0] - other.at[0]) > TAG_WIDTH;
      if (!beside && one.at[1] < other.at[1] + TAG_HEIGHT + 2) one.at[1] = other.at[1] + TAG_HEIGHT + 2;
    }
  });
  const kept = ([x, y]) => [
    Math.min(Math.max(4, x), Math.max(4, room.width - TAG_WIDTH)),
    Math.min(Math.max(4, y), room.height - TAG_HEIGHT - 4),
  ];
  return new Map(list.map(({mark, at}) => [mark.id, kept(at)]));
}

function label(mark, at, selected, readOnly) {
  const what = mark.corners ? 'the card' : mark.label;
  const help = readOnly ? '' : '. Arrow keys move it, with Shift they change its size, Delete takes it away.';
  return h(
    'button',
    {
      key: `${mark.id}:label`,
      class: 'tag' + (mark.id === selected ? ' chosen' : ''),
      type: 'button',
      style: placed(at),
      'data-mark': mark.id,
      'aria-pressed': String(mark.id === selected),
      'aria-label': `${what}${mark.words ? ', ' + mark.words : ''}${help}`,
    },
    mark.label,
  );
}

/** Whether any of a mark is in the window. */
function inSight(mark, view, room) {
  const points = (mark.corners ?? handles({...bounds(mark.shape), kind: 'rect'})).map((p) =>
    toScreen(view, p),
  );
  const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])];
  return (
    Math.max(...xs) > 0 &&
    Math.min(...xs) < room.width &&
    Math.max(...ys) > 0 &&
    Math.min(...ys) < room.height
  );
}

/** The buttons: a label for each mark, handles for the one that is chosen. One of many has its place in a list, too. */
export function holds(marks, view, room, selected, readOnly) {
  const seen = marks.filter(
    (mark) =>
      (!mark.compact || mark.id === selected) &&
      (!mark.corners || mark.corners.length === 4) &&
      inSight(mark, view, room),
  );
  const places = labelPlaces(seen, view, room, selected);
  return marks.flatMap((mark) => [
    !readOnly && (mark.id === selected || (mark.corners && mark.corners.length < 4))
      ? markHandles(mark, view)
      : [],
    places.has(mark.id) ? label(mark, places.get(mark.id), selected, readOnly) : [],
  ]);
}
