/** Mouse, pen and fingers on the photo: pan, pinch, take hold of a mark, draw a new one. */
import {bounds, boxShape, holds, inside, lasso} from '../lib/shape.js';
import {toPhoto, toScreen, zoomed} from './view.js';

const SMALLEST_DRAG = 6; // screen pixels; below it a drag is a tap
const FINGERTIP = 12; // screen pixels

const between = ([a, b]) => ({
  wide: Math.hypot(a[0] - b[0], a[1] - b[1]),
  middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2],
});

/** Whether a point is on a mark; a small one of many is as large as a fingertip. */
function on({view}, mark, point) {
  if (!mark.compact || holds(mark.shape, point)) return holds(mark.shape, point);
  const box = bounds(mark.shape);
  const away = Math.hypot(box.x + box.w / 2 - point[0], box.y + box.h / 2 - point[1]);
  return away * view.scale < FINGERTIP;
}

/** The mark under a point, the chosen one before others. */
function hit(stage, point) {
  const {marks, selected} = stage.model;
  const order = [...marks].sort((a, b) => Number(b.id === selected) - Number(a.id === selected));
  return order.find((mark) => mark.shape && on(stage, mark, point));
}

/* Each kind of gesture: what a move does, and what its end does unless it was cancelled. */

function pan(stage, at) {
  const {view} = stage;
  return {move: (to) => stage.look({...view, x: view.x + to[0] - at[0], y: view.y + to[1] - at[1]})};
}

function settle(stage, id) {
  const mark = stage.mark(id);
  if (mark) stage.on.change(id, mark.corners ?? mark.shape, true);
}

function dragHandle(stage, mark, i, at) {
  // The finger rarely meets a handle's middle: what it missed stays as it was.
  const [sx, sy] = toScreen(stage.view, stage.points(mark)[i]);
  const off = [sx - at[0], sy - at[1]];
  const move = (to) => {
    const screen = [to[0] + off[0], to[1] + off[1]];
    const p = toPhoto(stage.view, screen);
    stage.setHandle(mark.id, i, p, false);
    stage.loupe.show(stage.image, stage.model.photo, p, screen, stage.view.scale, stage.room);
  };
  move(at);
  return {move, end: () => settle(stage, mark.id)};
}

function dragMark(stage, mark, at) {
  const from = toPhoto(stage.view, at);
  return {
    move: (to) => {
      const p = toPhoto(stage.view, to);
      stage.on.change(mark.id, stage.movedMark(mark, p[0] - from[0], p[1] - from[1]), false);
    },
    end: () => settle(stage, mark.id),
  };
}

function placePoint(stage, at) {
  let p;
  const move = (to) => {
    p = stage.inPhoto(toPhoto(stage.view, to));
    stage.loupe.show(stage.image, stage.model.photo, p, to, stage.view.scale, stage.room);
  };
  move(at);
  return {move, end: (cancelled) => !cancelled && stage.on.point(p)};
}

function draw(stage, at) {
  const from = toPhoto(stage.view, at);
  const kind = stage.model.draw;
  const line = [from];
  return {
    move: (to) => {
      const p = toPhoto(stage.view, to);
      if (Math.hypot(to[0] - at[0], to[1] - at[1]) < SMALLEST_DRAG && !stage.pending.shape) return;
      line.push(p);
      stage.pending =
        kind === 'lasso' ? {shape: lasso(line), line} : {shape: boxShape(kind, from, p), line: []};
      stage.paint();
    },
    end: (cancelled) => {
      if (cancelled) return;
      const {shape} = stage.pending;
      stage.on.drawn(shape ? inside(shape, stage.model.photo) : stage.handyShape(kind, from));
    },
  };
}

function begin(stage, event, at) {
  if (stage.model.readOnly) return pan(stage, at);
  const grip = event.target.closest?.('[data-mark]');
  const mark = grip ? stage.mark(grip.dataset.mark) : null;
  if (mark) {
    stage.on.select(mark.id);
    const i = grip.dataset.handle;
    return i === undefined ? dragMark(stage, mark, at) : dragHandle(stage, mark, Number(i), at);
  }
  if (stage.model.draw === 'point') return placePoint(stage, at);
  const under = hit(stage, toPhoto(stage.view, at));
  if (stage.model.draw && !under?.compact) return draw(stage, at);
  if (!under) return pan(stage, at);
  stage.on.select(under.id);
  return dragMark(stage, under, at);
}

function pinch(stage, fingers) {
  let last = between([...fingers.values()]);
  return {
    move: () => {
      if (fingers.size < 2) return;
      const now = between([...fingers.values()]);
      const {view} = stage;
      const panned = {
        ...view,
        x: view.x + now.middle[0] - last.middle[0],
        y: view.y + now.middle[1] - last.middle[1],
      };
      stage.look(
        zoomed(panned, now.wide / Math.max(1, last.wide), now.middle, stage.model.photo, stage.room),
      );
      last = now;
    },
  };
}

/** @param {import('./stage.js').Stage} stage */
export function followPointers(stage) {
  const {node} = stage;
  const fingers = new Map();
  let gesture = null;
  const local = (event) => {
    const box = node.getBoundingClientRect();
    return [event.clientX - box.left - node.clientLeft, event.clientY - box.top - node.clientTop];
  };

  function stop(cancelled) {
    const ending = gesture;
    gesture = null;
    stage.loupe.hide();
    ending?.end?.(cancelled);
    stage.pending = {shape: null, line: []};
    stage.paint();
  }

  node.addEventListener('pointerdown', (event) => {
    if (!stage.model.photo || event.button > 0) return;
    const at = local(event);
    fingers.set(event.pointerId, at);
    node.setPointerCapture(event.pointerId);
    if (fingers.size === 2) {
      stop(true);
      gesture = pinch(stage, fingers);
    } else if (fingers.size === 1) gesture = begin(stage, event, at);
  });
  node.addEventListener('pointermove', (event) => {
    if (!fingers.has(event.pointerId)) return;
    const at = local(event);
    fingers.set(event.pointerId, at);
    gesture?.move(at);
  });
  const leave = (cancelled) => (event) => {
    if (fingers.delete(event.pointerId) && fingers.size === 0) stop(cancelled);
  };
  node.addEventListener('pointerup', leave(false));
  node.addEventListener('pointercancel', leave(true));

  /* The page scrolls under a finger on the photo, unless that finger has hold of something. */
  node.addEventListener(
    'touchstart',
    (event) => {
      if (!stage.model.photo) return;
      const has =
        event.target.closest('[data-mark]') || hit(stage, toPhoto(stage.view, local(event.touches[0])));
      if (event.touches.length > 1 || !stage.atFit || (!stage.model.readOnly && (stage.model.draw || has)))
        event.preventDefault();
    },
    {passive: false},
  );
  node.addEventListener(
    'wheel',
    (event) => {
      if (!stage.model.photo) return;
      event.preventDefault();
      stage.zoomBy(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0015)), local(event));
    },
    {passive: false},
  );
}
