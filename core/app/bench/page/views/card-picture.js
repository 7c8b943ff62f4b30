/** The usual card, small, with the corner that is to be tapped: told by how it looks, wherever it lies in the photo. */
import {h} from '../lib/dom.js';

const [COLUMNS, ROWS, CELL] = [6, 4, 12];
/* How the corner patches look, in the chart's own order; the others need not be told apart here. */
const CORNERS = [
  [0, 0, '#735244'],
  [COLUMNS - 1, 0, '#67bdaa'],
  [COLUMNS - 1, ROWS - 1, '#1c1c1c'],
  [0, ROWS - 1, '#f3f3f3'],
];

const patch = (column, row, color) =>
  h('rect', {x: column * CELL + 2, y: row * CELL + 2, width: CELL - 3, height: CELL - 3, fill: color});

/** @param {number} next which corner, 0 to 3 */
export function cardPicture(next) {
  const [column, row] = CORNERS[Math.min(next, 3)];
  const plain = Array.from({length: COLUMNS * ROWS}, (_, i) => patch(i % COLUMNS, Math.floor(i / COLUMNS), '#8a8a8a'));
  return h(
    'svg',
    {class: 'card-picture', viewBox: `-8 -8 ${COLUMNS * CELL + 17} ${ROWS * CELL + 17}`, 'aria-hidden': 'true'},
    h('rect', {class: 'card-ground', x: -1, y: -1, width: COLUMNS * CELL + 3, height: ROWS * CELL + 3, rx: 2}),
    plain,
    CORNERS.map(([c, r, color]) => patch(c, r, color)),
    h('circle', {class: 'card-ring', cx: column * CELL + CELL / 2 + 0.5, cy: row * CELL + CELL / 2 + 0.5, r: 10.5}),
  );
}
