/** In words what a step back took back: nobody should have to look for it. */
import {addText, plural} from '../lib/words.js';

const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

/** @param {Object} undone what of the book went with the step, as the server tells it */
function bookWords({readings, batch_gone: gone, batch_opened: opened}) {
  if (opened) return 'the closing. The batch lies on the bench again, judged as it was before';
  if (readings && gone)
    return `${plural(readings, 'reading')}, and the batch that they began: out of the book again`;
  if (readings) return `${plural(readings, 'reading')} of this photo: out of the batch again`;
  return gone ? 'the closing. The batch is out of the book, and its cups are on the bench again' : '';
}

function cupWords(was, is, units) {
  const poured = (was.log ?? []).slice(is.log?.length ?? 0);
  if (poured.length > 0)
    return poured
      .map((entry) => `${addText(entry, units)} into the ${is.layer} cup, in the book only`)
      .join(', ');
  const held = ({drops, volume_floz, capacity_floz}) => [drops, volume_floz, capacity_floz];
  return same(held(was), held(is)) ? '' : `the change of the ${is.layer} cup`;
}

/** @param {Object} was the work before the step back @param {Object} is the work after it */
export function undoneWords(was, is, undone, units) {
  const book = bookWords(undone);
  const cups = is.cups.map((cup) => {
    const before = was.cups.find((other) => other.layer === cup.layer);
    return before ? cupWords(before, cup, units) : '';
  });
  const parts = book
    ? [book]
    : [
        was.photo !== is.photo ? 'the photo' : !same(was.marks, is.marks) && 'the last mark',
        ...cups,
        !same(was.slab, is.slab) && 'the thickness or what it lies over',
        was.name !== is.name && 'the name',
      ].filter(Boolean);
  return parts.length > 0 ? `Taken back: ${parts.join(', ')}.` : 'Taken back.';
}
