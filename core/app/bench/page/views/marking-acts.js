/** What the button beside the next step does while marks are missing or do not fit. */
import {select} from '../bench/marks.js';
import {goTo} from './parts.js';
import {placeInMiddle} from './the-stage.js';

export const MARKING_ACTS = {
  place: placeInMiddle,
  card: () => {
    select('card');
    goTo('photo-title');
  },
};
