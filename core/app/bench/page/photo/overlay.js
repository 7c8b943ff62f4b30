/** What is drawn over the photo, and the buttons that take hold of it. Descriptions only; screen pixels. */
import {h} from '../lib/dom.js';
import {bounds, handles, handleNames, manyPointed} from '../lib/shape.js';
import {HANDLE, leaders, tag} from './tags.js';
import {toScreen} from './view.js';

/**
 * One mark. A card has `corners` (0 to 4 points in the chart's order), others a `shape`.
 * @typedef {{id: string, label: string, corners?: Array<[number, number]>, shape?: import('../lib/shape.js').Shape,
 *   words?: string, says?: string, lab?: number[], doubt?: boolean, compact?: boolean, faint?: boolean}} Mark
 *   words: of a screen reader, says: in the tag.  compact: one of many; its tag shows only while it is chosen.  faint: no
 *   mark of its own, only something that can be chosen
 */

/* The corner patches of the usual card by how they look, in the chart's own order. */
const CORNER_SHORT = ['dark brown', 'teal', 'black', 'white'];
const CORNER_NAMES = CORNER_SHORT.map((name) => `${name} corner`);

/** What is to be tapped next. @param {number} i how many corners are tapped already */
export const cornerStep = (i) => `${i === 0 ? 'Tap the card\u2019s' : 'Now its'} ${CORNER_NAMES[i] ?? 'corners'}.`;

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
  const kind = chosen ? ' chosen' : mark.faint ? ' faint' : '';
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
export function drawing({marks, grid, selected, line, places}, view, room) {
  return [
    drawnGrid(grid, view),
    leaders(places, view, room, selected),
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
  const out = shape.kind === 'ellipse' || manyPointed(shape) ? Math.max(far + 12, HANDLE * Math.SQRT1_2) : far + 12;
  return [cx + (dx / far) * out, cy + (dy / far) * out];
}

/** Corners of a card that is small on the screen are held outside of it, a fingertip apart. */
function cornersApart(points) {
  if (points.length < 4) return points;
  const middle = [0, 1].map((k) => points.reduce((sum, p) => sum + p[k], 0) / points.length);
  const sides = points.map((p, i) => Math.hypot(p[0] - points.at(i - 1)[0], p[1] - points.at(i - 1)[1]));
  const grow = Math.max(1, HANDLE / Math.max(1, Math.min(...sides)));
  return points.map((p) => [0, 1].map((k) => middle[k] + (p[k] - middle[k]) * grow));
}

const handlePlaces = (mark, view) =>
  mark.corners
    ? cornersApart(mark.corners.map((p) => toScreen(view, p)))
    : handles(mark.shape).map((p) => outward(toScreen(view, p), mark.shape, view));

function markHandles(mark, view) {
  const names = mark.corners ? CORNER_NAMES : handleNames(mark.shape);
  return handlePlaces(mark, view).map((at, i) =>
    handle(mark, i, at, names[i], mark.corners ? CORNER_SHORT[i] : null),
  );
}

/** The buttons: handles for the mark that is chosen, and over them the tags. */
export function holds(marks, view, places, selected, readOnly) {
  const grips = readOnly
    ? []
    : marks
        .filter((mark) => mark.id === selected || (mark.corners && mark.corners.length < 4))
        .flatMap((mark) => markHandles(mark, view));
  return [...grips, ...places.map((place) => tag(place, selected, readOnly))];
}
