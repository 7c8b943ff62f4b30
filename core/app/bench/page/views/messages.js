/** What has just happened and what is under way: one place for it, in the dock, so that it covers nothing. */
import {h} from '../lib/dom.js';
import {percent} from '../lib/words.js';
import {change, listen, state} from '../bench/state.js';
import {dropKept} from '../bench/pour.js';
import {undo} from '../bench/work.js';
import {button} from './parts.js';

const close = () => change({note: null});
const bar = (key, bad, ...kids) => h('div', {key, class: bad ? 'bar bad' : 'bar'}, kids);

function noteBar({text, bad, undo: undoable}) {
  const takeBack = () => {
    close();
    undo();
  };
  return bar(
    'note',
    bad,
    h('span', {}, text),
    undoable && button('Undo', takeBack, 'inline'),
    button('Close', close, 'inline'),
  );
}

function keptBar(kept) {
  return bar(
    `kept ${kept.layer}`,
    false,
    h('span', {}, `Kept until the bench answers: ${kept.words} into the ${kept.layer} cup.`),
    button('Don\u2019t log it', () => dropKept(kept), 'inline'),
  );
}

function uploadBar({name, share, cancel}) {
  const sent = share >= 1;
  return bar(
    'upload',
    false,
    h('span', {}, sent ? `Reading ${name || 'the photo'}.` : `Sending ${name || 'the photo'}`),
    !sent && h('progress', {max: 1, value: share, 'aria-label': 'Sent'}, percent(share)),
    button('Cancel', cancel, 'inline', {'data-do': 'cancel-upload'}),
  );
}

/** What a screen reader says at once. */
export const alerts = () => [
  state.away && bar('away', true, h('span', {}, 'The bench does not answer. Is the program still running? Trying again.')),
  state.note?.bad && noteBar(state.note),
];

export const messages = () => [
  state.upload && uploadBar(state.upload),
  state.kept.map(keptBar),
  state.note && !state.note.bad && noteBar(state.note),
];

/** A message that only tells goes by itself; one that says no stays until it is closed. */
export function followNotes() {
  let timer = 0;
  let shown = null;
  listen(() => {
    if (state.note === shown) return;
    shown = state.note;
    clearTimeout(timer);
    if (!shown || shown.bad) return;
    const gone = () => state.note === shown && close();
    timer = setTimeout(gone, shown.undo ? 15000 : 8000);
  });
}
