/** Small line drawings of our own, 24 x 24. Always beside a word or a label. */
import {h} from './dom.js';

const PATHS = {
  plus: 'M12 5v14M5 12h14',
  minus: 'M5 12h14',
  whole: 'M4 9V4h5M20 9V4h-5M4 15v5h5M20 15v5h-5',
  down: 'm6 9 6 6 6-6',
  undo: 'M8 5 4 9l4 4M4 9h10a6 6 0 0 1 0 12h-3',
  redo: 'm16 5 4 4-4 4M20 9H10a6 6 0 0 0 0 12h3',
  photo: 'M4 8h3.5L9 5.5h6L16.5 8H20v11H4zM12 10.2a3.3 3.3 0 1 0 0 6.6 3.3 3.3 0 0 0 0-6.6z',
  file: 'M4 18V6h6l2 2h8v10zM12 16v-5M9.5 13 12 10.6l2.5 2.4',
  edit: 'M5 19l1-4L16 5l3 3L9 18zM14 7l3 3',
  rect: 'M5 7h14v10H5z',
  ellipse: 'M12 6.5c4.4 0 7.5 2.4 7.5 5.5s-3.100 5.5-7.500 5.5S4.500 15.100 4.500 12 7.600 6.500 12 6.500z',
  lasso: 'M12 5c5 0 8 2 7 5.500S13 15 9 14s-5-3-3.500-5.500S9 5 12 5zM9 14c1 2 0 4-3 5.500',
  mix: 'M6 5h12l-1.500 14h-9zM7 11c3-1.500 6 1.500 10 0',
  targets: 'M12 4a8 8 0 1 0 0 16 8 8 0 0 0 0-16zM12 9a3 3 0 1 0 0 6 3 3 0 0 0 0-6z',
  batches: 'M4 17l4-5 4 3 4-7 4 4M4 20h16',
  bottles: 'M10 3h4v4l2 3v10.500H8V10l2-3zM8 14h8',
  settings: 'M4 7h9M17 7h3M15 4.500v5M4 12h3M11 12h9M9 9.500v5M4 17h11M19 17h1M17 14.500v5',
  plan: 'M4.500 4.500h15v12h-15zM8.500 7.500v6M12 7.500v6M15.500 7.500v6M12 16.500v4',
  sheet: 'M6 3.500h9l3 3V20.500H6zM9 10h6M9 13.500h6M9 17h4',
};

/** @param {keyof typeof PATHS} name */
export const icon = (name) =>
  h(
    'svg',
    {class: 'icon', viewBox: '0 0 24 24', 'aria-hidden': 'true', focusable: 'false'},
    h('path', {d: PATHS[name]}),
  );
