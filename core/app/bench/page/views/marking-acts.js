/** What the button beside the next step does on the photo. */
import {aimForThese, readIntoCups} from '../bench/doubts.js';
import {lieRight, select} from '../bench/marks.js';
import {goTo} from './parts.js';
import {placeInMiddle} from './the-stage.js';

export const MARKING_ACTS = {
  place: placeInMiddle,
  card: () => {
    select('card');
    goTo('photo-title');
  },
  right: lieRight,
  targets: aimForThese,
  measured: readIntoCups,
};
