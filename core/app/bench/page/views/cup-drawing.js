/** A cup of our own drawing: filled with the color now, its rim the color aimed for. */
import {h} from '../lib/dom.js';
import {cssColor} from '../lib/color.js';

const TOP = 30;
const BOTTOM = 138;
/** Inner half width at a height: the cup narrows toward its foot. */
const half = (y) => 42 - ((y - TOP) / (BOTTOM - TOP)) * 11;

function level(share) {
  return BOTTOM - Math.min(1, Math.max(0, share)) * (BOTTOM - TOP - 8);
}

function body(y) {
  const [w, f] = [half(y), half(BOTTOM)];
  return `M${60 - w} ${y}L${60 - f} ${BOTTOM - 6}Q${60 - f + 1} ${BOTTOM} ${60 - f + 7} ${BOTTOM}H${60 + f - 7}Q${60 + f - 1} ${BOTTOM} ${60 + f} ${BOTTOM - 6}L${60 + w} ${y}Z`;
}

function filling(color, share) {
  const y = level(share);
  return (
    color && [
      h('path', {d: body(y), fill: color}),
      h('ellipse', {cx: 60, cy: y, rx: half(y), ry: 5, fill: color}),
      h('ellipse', {class: 'shine', cx: 60, cy: y, rx: half(y) - 1, ry: 4.2}),
    ]
  );
}

function marks() {
  return [0.25, 0.5, 0.75].map((share) => {
    const y = level(share);
    return h('path', {class: 'scale', d: `M${60 - half(y) + 3} ${y}h${share === 0.5 ? 13 : 8}`});
  });
}

function drop(x, color) {
  return h('path', {class: 'drop', d: `M${x} 0c4 6 6 8 6 11a6 6 0 0 1-12 0c0-3 2-5 6-11z`, fill: color});
}

/**
 * @param {{now: ?number[], target: ?number[], share: number, drops: string[]}} cup share: how full, 0 to 1;
 *   drops: colors of the bottles to add from
 */
export function cupDrawing({now, target, share, drops}) {
  const across = drops.slice(0, 4);
  return h(
    'svg',
    {class: 'cup-drawing', viewBox: '0 0 120 144', 'aria-hidden': 'true'},
    across.map((color, i) => drop(60 + (i - (across.length - 1) / 2) * 18, color)),
    filling(now && cssColor(now), share),
    h('path', {class: 'glass', d: body(TOP)}),
    marks(),
    h('rect', {class: 'rim-edge', x: 9, y: TOP - 8, width: 102, height: 14, rx: 7}),
    h('rect', {
      class: target ? 'rim' : 'rim none',
      x: 11,
      y: TOP - 6,
      width: 98,
      height: 10,
      rx: 5,
      fill: target ? cssColor(target) : 'none',
    }),
  );
}
