/** Pieces that several views share. */
import {h} from '../lib/dom.js';
import {cssColor} from '../lib/color.js';

/** A patch of color; the words stand beside it. @param {?number[]} lab */
export const swatch = (lab, name = '') =>
  h('i', {class: `swatch ${name}`, style: {background: lab ? cssColor(lab) : 'none'}});

/** @param {string} label @param {Object} props of the input @param {...*} more */
export function field(label, props, ...more) {
  return h(
    'label',
    {class: 'field', key: props.key},
    h('span', {}, label),
    props.options
      ? h(
          'select',
          {...props, key: null, options: null},
          props.options.map(([value, text]) => h('option', {value, selected: value === props.value}, text)),
        )
      : h('input', {...props, key: null}),
    more,
  );
}

/** What says no is said at once, to a screen reader, too. */
export const note = (text, kind = '') =>
  text && h('p', {class: `note ${kind}`, role: kind === 'bad' ? 'alert' : null}, text);
/** Beside any number that says how far one color is from another. */
export const farLegend = () =>
  h('p', {class: 'soft', key: 'far'}, 'A number says how far off a color is: 1 is hardly seen, 5 is plain.');
export const notes = (list, kind = '') => (list ?? []).map((text) => note(text, kind));
export const button = (text, onclick, kind = '', more = {}) =>
  h('button', {type: 'button', class: kind, onclick, ...more}, text);

/** The values of a form's named fields. @param {Event} event of its submit */
export function formValues(event) {
  event.preventDefault();
  return Object.fromEntries(new FormData(event.target));
}

/** A question before something is lost. */
export const sure = (text) => window.confirm(text);

/** Brings a heading into view, and the focus to it. @param {string} id */
export function goTo(id) {
  const node = document.getElementById(id);
  node?.scrollIntoView({block: 'start'});
  node?.focus({preventScroll: true});
}

const HEAD_OF_CUP = 200; // px that are enough to see what to do

/** Where little of the open cup is in view, its layer comes to the top: it stays beside its colors. */
export function showOpen() {
  const cup = document.querySelector('.cup');
  const main = document.getElementById('main').getBoundingClientRect();
  if (!cup || cup.getBoundingClientRect().top < main.bottom - HEAD_OF_CUP) return;
  document.querySelector('.band[aria-selected=true]').scrollIntoView({block: 'start'});
}
