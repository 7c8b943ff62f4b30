/** Shapes as text on the wire (`rect:X,Y,WxH`), as numbers here. All in photo pixels. */

/**
 * @typedef {{kind: 'rect', x: number, y: number, w: number, h: number}} Rect
 * @typedef {{kind: 'ellipse', cx: number, cy: number, rx: number, ry: number}} Ellipse
 * @typedef {{kind: 'poly', points: Array<[number, number]>}} Poly
 * @typedef {Rect|Ellipse|Poly} Shape
 */

const SMALLEST = 4;
const MANY_POINTS = 8; // more than these are not moved one by one
const round = (v) => Math.round(v * 10) / 10;

/** @param {string} text @returns {?Shape} */
export function parseShape(text) {
  const [kind, rest] = String(text).split(/:(.*)/s);
  const v = (rest ?? '').split(/[,;x]/).map(Number);
  if (v.some((n) => !Number.isFinite(n))) return null;
  if (kind === 'rect' && v.length === 4) return {kind, x: v[0], y: v[1], w: v[2], h: v[3]};
  if (kind === 'ellipse' && v.length === 4) return {kind, cx: v[0], cy: v[1], rx: v[2], ry: v[3]};
  if (kind !== 'poly' || v.length < 6) return null;
  return {kind, points: Array.from({length: v.length / 2}, (_, i) => [v[2 * i], v[2 * i + 1]])};
}

/** @param {Shape} s */
export function shapeText(s) {
  if (s.kind === 'rect')
    return `rect:${Math.round(s.x)},${Math.round(s.y)},${Math.round(s.w)}x${Math.round(s.h)}`;
  if (s.kind === 'ellipse') return `ellipse:${round(s.cx)},${round(s.cy)},${round(s.rx)}x${round(s.ry)}`;
  return `poly:${s.points.map((p) => p.map(round).join(',')).join(';')}`;
}

/** @param {Shape} s @returns {Rect} */
export function bounds(s) {
  if (s.kind === 'rect') return s;
  if (s.kind === 'ellipse') return {kind: 'rect', x: s.cx - s.rx, y: s.cy - s.ry, w: 2 * s.rx, h: 2 * s.ry};
  const xs = s.points.map((p) => p[0]);
  const ys = s.points.map((p) => p[1]);
  const x = Math.min(...xs);
  const y = Math.min(...ys);
  return {kind: 'rect', x, y, w: Math.max(...xs) - x, h: Math.max(...ys) - y};
}

/** Every point of the shape through `at`, axes kept. @param {Shape} s @param {(p: [number, number]) => [number, number]} at @returns {Shape} */
function through(s, at) {
  if (s.kind === 'poly') return {kind: 'poly', points: s.points.map(at)};
  const box = bounds(s);
  const [x0, y0] = at([box.x, box.y]);
  const [x1, y1] = at([box.x + box.w, box.y + box.h]);
  return boxShape(s.kind, [x0, y0], [x1, y1]);
}

/** A rectangle or ellipse between two corners. */
export function boxShape(kind, [x0, y0], [x1, y1]) {
  const w = Math.max(SMALLEST, Math.abs(x1 - x0));
  const h = Math.max(SMALLEST, Math.abs(y1 - y0));
  const x = Math.min(x0, x1);
  const y = Math.min(y0, y1);
  return kind === 'ellipse'
    ? {kind, cx: x + w / 2, cy: y + h / 2, rx: w / 2, ry: h / 2}
    : {kind: 'rect', x, y, w, h};
}

/** Moved, but held inside the photo. @param {Shape} s @param {{width: number, height: number}} photo */
export function moved(s, dx, dy, photo) {
  const box = bounds(s);
  const mx = Math.min(Math.max(dx, -box.x), photo.width - box.x - box.w);
  const my = Math.min(Math.max(dy, -box.y), photo.height - box.y - box.h);
  return through(s, ([x, y]) => [x + mx, y + my]);
}

/** Grown about its middle by whole pixels in each direction. */
export function grown(s, dx, dy, photo) {
  const box = bounds(s);
  const fx = Math.max(SMALLEST, box.w + dx) / Math.max(1, box.w);
  const fy = Math.max(SMALLEST, box.h + dy) / Math.max(1, box.h);
  const cx = box.x + box.w / 2;
  const cy = box.y + box.h / 2;
  return inside(
    through(s, ([x, y]) => [cx + (x - cx) * fx, cy + (y - cy) * fy]),
    photo,
  );
}

/** Cut or pushed so that it lies inside the photo. */
export function inside(s, photo) {
  const clamp = ([x, y]) => [Math.min(Math.max(0, x), photo.width), Math.min(Math.max(0, y), photo.height)];
  return through(s, clamp);
}

export function scaled(s, fx, fy) {
  return through(s, ([x, y]) => [x * fx, y * fy]);
}

/** @param {Shape} s */
export const manyPointed = (s) => s.kind === 'poly' && s.points.length > MANY_POINTS;

const dot = ([x, y], [u, v]) => x * u + y * v;

/** The box along the longest way through the points: its middle, directions to the right and down, and extents. */
function frame(points) {
  const n = points.length;
  const mean = [0, 1].map((k) => points.reduce((sum, p) => sum + p[k], 0) / n);
  const away = points.map((p) => [p[0] - mean[0], p[1] - mean[1]]);
  const moment = (j, k) => away.reduce((sum, p) => sum + p[j] * p[k], 0);
  const angle = Math.atan2(2 * moment(0, 1), moment(0, 0) - moment(1, 1)) / 2;
  const along = [Math.cos(angle), Math.sin(angle)];
  const across = [-along[1], along[0]];
  const extent = (axis) => {
    const places = away.map((p) => dot(p, axis));
    return [Math.min(...places), Math.max(...places)];
  };
  return {mean, along, across, wide: extent(along), high: extent(across)};
}

/** Upper side, right end, lower side, left end. */
function frameHandles({mean, along, across, wide, high}) {
  const at = (u, v) => [
    mean[0] + u * along[0] + v * across[0],
    mean[1] + u * along[1] + v * across[1],
  ];
  const [u, v] = [(wide[0] + wide[1]) / 2, (high[0] + high[1]) / 2];
  return [at(u, high[0]), at(wide[1], v), at(u, high[1]), at(wide[0], v)];
}

/** One side of the frame drawn to a point; the other stays. */
function frameMoved(points, i, to) {
  const f = frame(points);
  const axis = i % 2 ? f.along : f.across;
  const [low, high] = i % 2 ? f.wide : f.high;
  const atHigh = i === 1 || i === 2;
  const fixed = atHigh ? low : high;
  const wanted = dot([to[0] - f.mean[0], to[1] - f.mean[1]], axis);
  const span = Math.max(SMALLEST, atHigh ? wanted - fixed : fixed - wanted);
  const factor = span / Math.max(1e-6, high - low);
  return points.map((p) => {
    const t = dot([p[0] - f.mean[0], p[1] - f.mean[1]], axis);
    const by = fixed + (t - fixed) * factor - t;
    return [p[0] + by * axis[0], p[1] + by * axis[1]];
  });
}

/** Where a shape can be taken hold of. @param {Shape} s @returns {Array<[number, number]>} */
export function handles(s) {
  if (manyPointed(s)) return frameHandles(frame(s.points));
  if (s.kind === 'poly') return s.points;
  const b = bounds(s);
  if (s.kind === 'rect')
    return [
      [b.x, b.y],
      [b.x + b.w, b.y],
      [b.x + b.w, b.y + b.h],
      [b.x, b.y + b.h],
    ];
  return [
    [s.cx, b.y],
    [b.x + b.w, s.cy],
    [s.cx, b.y + b.h],
    [b.x, s.cy],
  ];
}

/** Words for each handle, for those who don't see it. */
export function handleNames(s) {
  if (s.kind === 'rect')
    return ['top left corner', 'top right corner', 'bottom right corner', 'bottom left corner'];
  if (s.kind === 'ellipse') return ['top', 'right side', 'bottom', 'left side'];
  if (manyPointed(s)) return ['upper side', 'right end', 'lower side', 'left end'];
  return s.points.map((_, i) => `point ${i + 1} of ${s.points.length}`);
}

/** One handle put at a point. @param {Shape} s @param {number} i @param {[number, number]} to */
export function handleMoved(s, i, to, photo) {
  const p = [Math.min(Math.max(0, to[0]), photo.width), Math.min(Math.max(0, to[1]), photo.height)];
  if (manyPointed(s)) return inside({kind: 'poly', points: frameMoved(s.points, i, p)}, photo);
  if (s.kind === 'poly') return {kind: 'poly', points: s.points.map((q, j) => (j === i ? p : q))};
  const b = bounds(s);
  let [x0, y0, x1, y1] = [b.x, b.y, b.x + b.w, b.y + b.h];
  const left = s.kind === 'rect' ? i === 0 || i === 3 : i === 3;
  const right = s.kind === 'rect' ? i === 1 || i === 2 : i === 1;
  const top = s.kind === 'rect' ? i < 2 : i === 0;
  const bottom = s.kind === 'rect' ? i > 1 : i === 2;
  if (left) x0 = Math.min(p[0], x1 - SMALLEST);
  if (right) x1 = Math.max(p[0], x0 + SMALLEST);
  if (top) y0 = Math.min(p[1], y1 - SMALLEST);
  if (bottom) y1 = Math.max(p[1], y0 + SMALLEST);
  return boxShape(s.kind, [x0, y0], [x1, y1]);
}

/** A long outline with fewer points, its ends kept. @param {Shape} s @param {number} most */
export function thinned(s, most) {
  if (s.kind !== 'poly' || s.points.length <= most) return s;
  const last = s.points.length - 1;
  const at = (i) => s.points[Math.round((i * last) / (most - 1))];
  return {kind: 'poly', points: Array.from({length: most}, (_, i) => at(i))};
}

/** How much of the photo a shape covers, square pixels. @param {Shape} s */
export function area(s) {
  if (s.kind === 'rect') return s.w * s.h;
  if (s.kind === 'ellipse') return Math.PI * s.rx * s.ry;
  const cross = (p, q) => p[0] * q[1] - q[0] * p[1];
  return Math.abs(s.points.reduce((sum, p, i) => sum + cross(s.points.at(i - 1), p), 0)) / 2;
}

/** A drawn line thinned to at most `most` points. @param {Array<[number, number]>} line @returns {?Poly} */
export function lasso(line, most = 24) {
  if (line.length < 3) return null;
  const step = Math.max(1, line.length / most);
  const points = [];
  for (let i = 0; i < line.length; i += step) points.push(line[Math.floor(i)]);
  return points.length < 3 ? null : {kind: 'poly', points};
}

/** True when a point lies in the shape. */
export function holds(s, [x, y]) {
  if (s.kind === 'rect') return x >= s.x && x <= s.x + s.w && y >= s.y && y <= s.y + s.h;
  if (s.kind === 'ellipse') return ((x - s.cx) / s.rx) ** 2 + ((y - s.cy) / s.ry) ** 2 <= 1;
  let within = false;
  s.points.forEach(([x1, y1], i) => {
    const [x0, y0] = s.points[(i + s.points.length - 1) % s.points.length];
    if (y1 > y !== y0 > y && x < ((x0 - x1) * (y - y1)) / (y0 - y1) + x1) within = !within;
  });
  return within;
}
