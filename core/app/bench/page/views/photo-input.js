/** Choosing a photo: a file, the phone's camera, a sample. */
import {h} from '../lib/dom.js';
import {icon} from '../lib/icons.js';
import {capital} from '../lib/words.js';
import {useSample, usePhoto} from '../bench/photo.js';
import {button} from './parts.js';

const SAMPLES = [
  ['crawfish-1', 'the crawfish that worked'],
  ['baitfish-1', 'three see-through minnows'],
];

/** A file chosen by tapping; `capture` asks a phone for its camera. @param {boolean} several `use` takes a list */
export function photoInput(text, name, capture, use, kind, several = false) {
  const onchange = (event) => {
    const files = [...event.target.files];
    event.target.value = '';
    if (files.length) use(several ? files : files[0]);
  };
  return h(
    'label',
    {class: `file-button ${kind}`},
    icon(name),
    h('span', {}, text),
    h('input', {
      type: 'file',
      class: 'unseen',
      accept: 'image/jpeg,image/png,image/heic,image/heif,.heic,.heif',
      capture: capture ? 'environment' : null,
      multiple: several && !capture,
      onchange,
    }),
  );
}

export const choosing = (kind) => [
  photoInput(['Take', h('span', {class: 'long'}, ' a photo')], 'photo', true, usePhoto, `take ${kind}`),
  photoInput(['Choose', h('span', {class: 'long'}, ' a photo')], 'file', false, usePhoto, kind),
];

export function emptyStage() {
  return h(
    'div',
    {class: 'empty-stage'},
    h('p', {class: 'big'}, 'Lay the bait and the card on a plain board, in even light.'),
    h('p', {class: 'soft'}, 'Drop a photo here, take one, or choose one.'),
    h('div', {class: 'row'}, choosing('')),
    h(
      'details',
      {},
      h('summary', {}, 'No photo at hand?'),
      h('p', {class: 'soft'}, 'Samples to try with:'),
      h(
        'div',
        {class: 'row'},
        SAMPLES.map(([name, text]) =>
          button(capital(text), () => useSample(name), 'quiet', {'data-sample': name}),
        ),
      ),
    ),
  );
}
