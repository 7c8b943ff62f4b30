/** The end of a batch: what is in the cups, whether it is good, and fresh cups for the next. */
import {h} from '../lib/dom.js';
import {state} from '../bench/state.js';
import {nextStep} from '../bench/next-step.js';
import {finish} from '../bench/work.js';
import {field, formValues} from './parts.js';

function close(event) {
  const values = formValues(event);
  finish(event.submitter?.value === 'yes', values.note);
}

const verdict = (value, text, kind) =>
  h('button', {type: 'submit', name: 'good', value, class: kind, 'data-good': value}, text);

export function finishSection() {
  if (!state.work.cups.some((cup) => cup.additions > 0 || cup.read.length > 0)) return null;
  const done = nextStep().act === 'finish';
  const name = `batch ${state.work.batch_name ?? ''}`;
  return h(
    'section',
    {key: 'finish', class: 'done', 'aria-labelledby': 'finish-title'},
    h('h2', {id: 'finish-title', tabindex: -1}, done ? 'Every layer is right' : `Close ${name}`),
    h(
      'p',
      {class: 'soft'},
      done
        ? `Pour the baits. Then close ${name}: it is kept with its colors, and the next cups are fresh.`
        : 'Poured, or given up? It is kept as it is, and the next cups are fresh.',
    ),
    h(
      'form',
      {class: 'make', onsubmit: close},
      field('Note for the book', {
        type: 'text',
        name: 'note',
        maxlength: 400,
        placeholder: 'new lot of base, hand-stirred',
      }),
      h(
        'div',
        {class: 'verdict'},
        verdict('yes', 'Done, it is good', done ? '' : 'quiet'),
        verdict('no', 'Done, it is not', 'quiet'),
      ),
    ),
  );
}
