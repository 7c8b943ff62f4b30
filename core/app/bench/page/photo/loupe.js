/** A round window beside the finger that shows the photo enlarged around the point being moved. */
import {h} from '../lib/dom.js';

const SIDE = 132;
const AWAY = 96; // from the finger
const ENLARGED = 3;
const SCALE_ENOUGH = 3; // screen pixels a photo pixel: who is that close sees enough

/** @returns {{node: HTMLElement, show: Function, hide: () => void}} */
export function createLoupe() {
  const canvas = document.createElement('canvas');
  canvas.className = 'loupe';
  canvas.width = canvas.height = SIDE * 2;
  canvas.hidden = true;
  canvas.setAttribute('aria-hidden', 'true');

  function place([sx, sy], room) {
    const above = sy - AWAY - SIDE / 2 >= 0;
    const y = above ? sy - AWAY : Math.min(Math.max(sy, SIDE / 2), room.height - SIDE / 2);
    const side = sx + AWAY + SIDE / 2 > room.width ? -AWAY : AWAY;
    const x = above ? Math.min(Math.max(sx, SIDE / 2), room.width - SIDE / 2) : sx + side;
    canvas.style.left = `${x - SIDE / 2}px`;
    canvas.style.top = `${y - SIDE / 2}px`;
  }

  /**
   * @param {HTMLImageElement} image  @param {{width: number, height: number}} photo
   * @param {[number, number]} point photo pixels  @param {[number, number]} at screen pixels  @param {number} scale
   */
  function show(image, photo, point, at, scale, room) {
    if (!image.naturalWidth || scale > SCALE_ENOUGH) return;
    canvas.hidden = false;
    place(at, room);
    const drawn = canvas.getContext('2d');
    const f = image.naturalWidth / photo.width;
    const span = (SIDE / (scale * ENLARGED)) * f;
    drawn.clearRect(0, 0, SIDE * 2, SIDE * 2);
    drawn.drawImage(
      image,
      point[0] * f - span / 2,
      point[1] * f - span / 2,
      span,
      span,
      0,
      0,
      SIDE * 2,
      SIDE * 2,
    );
    for (const [width, color] of [
      [6, 'rgba(0,0,0,.6)'],
      [2, '#fff'],
    ]) {
      drawn.lineWidth = width;
      drawn.strokeStyle = color;
      drawn.beginPath();
      for (const [dx, dy] of [
        [1, 0],
        [-1, 0],
        [0, 1],
        [0, -1],
      ]) {
        drawn.moveTo(SIDE + 10 * dx, SIDE + 10 * dy);
        drawn.lineTo(SIDE + 40 * dx, SIDE + 40 * dy);
      }
      drawn.stroke();
    }
  }
  return {node: canvas, show, hide: () => (canvas.hidden = true)};
}

/** What the pixels set aside look like on the photo; the numbers are the server's classes. */
const ASIDE = [
  {class: 2, name: 'gloss', color: [64, 200, 255]},
  {class: 3, name: 'flake', color: [255, 64, 220]},
  {class: 4, name: 'shadow', color: [255, 214, 0]},
  {class: 5, name: 'clipped', color: [255, 60, 40]},
];

/** One region's classes as a picture in its place on the photo; w and h count what is left after thinning by `step`.
 * @param {{x: number, y: number, w: number, h: number, step?: number, runs: number[]}} classes */
export function asideCanvas(classes) {
  const step = classes.step ?? 1;
  const canvas = document.createElement('canvas');
  canvas.width = classes.w;
  canvas.height = classes.h;
  Object.assign(canvas.style, {
    left: `${classes.x}px`,
    top: `${classes.y}px`,
    width: `${classes.w * step}px`,
    height: `${classes.h * step}px`,
  });
  const drawn = canvas.getContext('2d');
  const pixels = drawn.createImageData(canvas.width, canvas.height);
  const colors = new Map(ASIDE.map((a) => [a.class, a.color]));
  let at = 0;
  for (let i = 0; i + 1 < classes.runs.length; i += 2) {
    const color = colors.get(classes.runs[i]);
    const end = at + classes.runs[i + 1];
    if (color) for (let p = at; p < end; p++) pixels.data.set([...color, 255], 4 * p);
    at = end;
  }
  drawn.putImageData(pixels, 0, 0);
  return canvas;
}

export const asideLegend = () =>
  h(
    'ul',
    {class: 'legend', 'aria-label': 'Colors of the pixels set aside'},
    ASIDE.map((a) => h('li', {}, h('i', {style: {background: `rgb(${a.color.join(',')})`}}), a.name)),
  );
