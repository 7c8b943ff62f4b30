/** A pattern that is a swirl: the photo at hand is read as one, and its colors are what is aimed for or in the cups. */
import {post} from '../lib/api.js';
import {asking} from './asking.js';
import {lightOf} from './find.js';
import {setTarget} from './patterns.js';
import {change, listen, NO_SWIRL, pattern, state, swirled, tellNote} from './state.js';

/** What was read of the photo at hand, or null. */
export const swirlHere = () => (state.photo && state.swirl.photo === state.photo.id ? state.swirl.answer : null);

/** The colors in the order of the pattern's layers; where nothing tells them apart, the largest first. */
export const swirlColors = () => {
  const colors = swirlHere()?.swirl.colors ?? [];
  return (pattern()?.layers ?? []).map((layer, i) => ({layer, color: colors[i]})).filter(({color}) => color);
};

/** Its colors become what is aimed for. */
export async function aimForSwirl() {
  const list = swirlColors();
  const photo = state.photo.id;
  let all = list.length > 0;
  change({busy: 'targets'});
  for (const {layer, color} of list)
    all =
      Boolean(
        await setTarget(pattern().id, layer.name, {
          lab: color.lab,
          uncertainty_de00: color.uncertainty_de00,
          photo,
          detail: {share: color.share},
        }),
      ) && all;
  change({busy: ''});
  if (all) tellNote('These colors are now what you aim for.');
}

async function askSwirl(signal) {
  const photo = state.photo.id;
  const answer = await post(
    `/api/photos/${photo}/swirl`,
    {pattern: state.work.pattern, marks: lightOf(state.marks)},
    signal,
  );
  change({swirl: {photo, answer, error: ''}});
}

export function followSwirl() {
  const ask = asking(60, askSwirl, (error) =>
    change({swirl: {...NO_SWIRL, photo: state.photo?.id ?? '', error: error.status ? error.message : ''}}),
  );
  listen(() => {
    if (!swirled() || !state.work || !state.photo?.sharp) return;
    ask(JSON.stringify([state.work.id, state.photo.id, lightOf(state.marks), pattern().layers.map((layer) => layer.target)]));
  });
}
