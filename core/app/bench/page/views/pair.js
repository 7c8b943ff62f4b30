/** A phone's way in: the code that the terminal shows. */
import {h} from '../lib/dom.js';
import {ApiError, post} from '../lib/api.js';
import {change, state} from '../bench/state.js';
import {field, formValues, note} from './parts.js';

export function pairView(onPaired) {
  const submit = async (event) => {
    const {code} = formValues(event);
    try {
      await post('/api/pair', {code: String(code).replace(/\D/g, '')});
      change({paired: true, bootError: ''});
      onPaired();
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      change({bootError: error.message});
    }
  };
  return h(
    'section',
    {key: 'pair', class: 'narrow'},
    h('h2', {}, 'Pair this device'),
    h('p', {}, 'Type the six digits that the terminal shows beside the address.'),
    h(
      'form',
      {class: 'row end', onsubmit: submit},
      field('Code', {
        type: 'text',
        name: 'code',
        inputmode: 'numeric',
        autocomplete: 'one-time-code',
        pattern: '[0-9 ]{6,8}',
        required: true,
      }),
      h('button', {type: 'submit'}, 'Pair'),
    ),
    note(state.bootError, 'bad'),
  );
}
