/** Everything on the photo by keys: zoom, pan, move a mark or one of its corners, change its size, take it away. */
import {grown} from '../lib/shape.js';

const ARROWS = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]};
const STEP = 2; // screen pixels
const STEP_HELD = 8; // while the key is held down
const PAN = 40;

/** @returns {boolean} whether the key meant the mark */
function keyOnMark(stage, event, mark, handle) {
  if (event.key === 'Delete' || event.key === 'Backspace') {
    stage.on.remove(mark.id);
    stage.node.focus();
    return true;
  }
  const way = ARROWS[event.key];
  if (!way) return false;
  const step = (event.repeat ? STEP_HELD : STEP) / stage.view.scale;
  const [dx, dy] = [way[0] * step, way[1] * step];
  if (handle !== undefined) {
    const p = stage.points(mark)[Number(handle)];
    stage.setHandle(mark.id, Number(handle), [p[0] + dx, p[1] + dy], true);
  } else if (event.shiftKey && mark.shape)
    stage.on.change(mark.id, grown(mark.shape, dx, -dy, stage.model.photo), true);
  else stage.on.change(mark.id, stage.movedMark(mark, dx, dy), true);
  return true;
}

/** @returns {boolean} whether the key meant the photo */
function keyOnPhoto(stage, event) {
  const way = ARROWS[event.key];
  if (event.key === '+' || event.key === '=') stage.zoomBy(1.5);
  else if (event.key === '-') stage.zoomBy(1 / 1.5);
  else if (event.key === '0') stage.fit();
  else if (way && event.target === stage.node) stage.panBy(-PAN * way[0], -PAN * way[1]);
  else return false;
  return true;
}

/** @param {import('./stage.js').Stage} stage */
export function followKeys(stage) {
  stage.node.addEventListener('keydown', (event) => {
    if (!stage.model.photo || event.altKey || event.metaKey || event.ctrlKey) return;
    const grip = event.target.closest?.('[data-mark]');
    const mark = grip && !stage.model.readOnly ? stage.mark(grip.dataset.mark) : null;
    if ((mark && keyOnMark(stage, event, mark, grip.dataset.handle)) || keyOnPhoto(stage, event))
      event.preventDefault();
  });
  // Enter and space on a mark choose it, as a click does; a pointer has chosen it already.
  stage.grips.addEventListener('click', (event) => {
    const grip = event.target.closest('[data-mark]');
    if (grip && event.detail === 0 && !stage.model.readOnly) stage.on.select(grip.dataset.mark);
  });
}
