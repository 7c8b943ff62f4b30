/** Mouse, pen and fingers on the photo: pan, pinch, take hold of a mark, draw a new one. */
import {area, bounds, boxShape, holds, inside, lasso} from '../lib/shape.js';
import {toPhoto, toScreen, zoomed} from './view.js';

const SMALLEST_DRAG = 6; // screen pixels; below it a drag is a tap
const FINGERTIP = 22; // screen pixels around a finger's middle

const between = ([a, b]) => ({
  wide: Math.hypot(a[0] - b[0], a[1] - b[1]),
  middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2],
});

/** How far a point is from the box of a shape, photo pixels. */
function distance(shape, [x, y]) {
  const box = bounds(shape);
  const dx = Math.max(box.x - x, 0, x - box.x - box.w);
  const dy = Math.max(box.y - y, 0, y - box.y - box.h);
  return Math.hypot(dx, dy);
}

/**
 * The mark that is meant by a finger at a point: the smallest that it is on, else the nearest under its tip; the
 * latter not while something new is being pointed at.
 */
function hit(stage, point) {
  const marks = stage.model.marks.filter((mark) => mark.shape);
  const on = marks.filter((mark) => holds(mark.shape, point));
  if (on.length) return on.reduce((best, mark) => (area(mark.shape) < area(best.shape) ? mark : best));
  if (stage.model.draw) return undefined;
  const near = marks
    .map((mark) => ({mark, away: distance(mark.shape, point)}))
    .filter(({away}) => away * stage.view.scale < FINGERTIP);
  return near.length ? near.reduce((best, one) => (one.away < best.away ? one : best)).mark : undefined;
}

const chosenAt = (stage, point) => {
  const mark = stage.mark(stage.model.selected);
  return mark?.shape && holds(mark.shape, point) ? mark : null;
};

/** A finger that hardly moved has tapped: what its drag would do does not begin. */
function tapOr(at, tapped, begun) {
  let drag = null;
  return {
    move: (to) => {
      if (!drag && Math.hypot(to[0] - at[0], to[1] - at[1]) < SMALLEST_DRAG) return;
      drag ??= begun();
      drag.move(to);
    },
    end: (cancelled) => (drag ? drag.end?.(cancelled) : !cancelled && tapped()),
  };
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

function draw(stage, at, under) {
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
      stage.loupe.show(stage.image, stage.model.photo, p, to, stage.view.scale, stage.room);
      stage.paint();
    },
    end: (cancelled) => {
      if (cancelled) return undefined;
      const {shape} = stage.pending;
      if (!shape && under) return stage.on.select(under.id);
      return stage.on.drawn(shape ? inside(shape, stage.model.photo) : stage.handyShape(kind, from));
    },
  };
}

/** On a handle or a tag. A tap on a handle that lies over another mark is meant for that one. */
function grasp(stage, grip, mark, at) {
  const i = grip.dataset.handle;
  if (i === undefined) {
    stage.on.select(mark.id);
    return dragMark(stage, mark, at);
  }
  const under = hit(stage, toPhoto(stage.view, at));
  stage.loupe.show(stage.image, stage.model.photo, stage.points(mark)[i], at, stage.view.scale, stage.room);
  const meant = () => under && under.id !== mark.id && stage.on.select(under.id);
  return tapOr(at, meant, () => dragHandle(stage, mark, Number(i), at));
}

function begin(stage, event, at) {
  if (stage.model.readOnly) return pan(stage, at);
  const grip = event.target.closest?.('[data-mark]');
  const mark = grip ? stage.mark(grip.dataset.mark) : null;
  if (mark) return grasp(stage, grip, mark, at);
  const point = toPhoto(stage.view, at);
  const under = hit(stage, point);
  if (stage.model.draw === 'point' && !under?.compact) return placePoint(stage, at);
  if (stage.model.draw && !under?.compact) return draw(stage, at, under);
  const dragged = chosenAt(stage, point) ?? under;
  if (!dragged) return pan(stage, at);
  return tapOr(
    at,
    () => under && stage.on.select(under.id),
    () => {
      stage.on.select(dragged.id);
      return dragged.faint ? pan(stage, at) : dragMark(stage, dragged, at);
    },
  );
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
  let box = null; // as the first finger found it: what is chosen may change the page around the stage
  const local = (event) => {
    if (!box || fingers.size === 0) box = node.getBoundingClientRect();
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
    stage.hold(true);
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
    if (!fingers.delete(event.pointerId) || fingers.size > 0) return;
    stop(cancelled);
    stage.hold(false);
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
