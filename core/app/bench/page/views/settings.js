/** How this device shows the page, how the shop works, and the book's copy. */
import {h} from '../lib/dom.js';
import {recall, remember} from '../lib/memory.js';
import {change} from '../bench/state.js';

const THEMES = [
  ['auto', 'As the device has it'],
  ['light', 'Light'],
  ['dark', 'Dark'],
];

function turnTheme(theme) {
  remember('theme', theme === 'auto' ? null : theme);
  window.dispatchEvent(new Event('theme'));
  change({});
}

function themeSection() {
  const chosen = recall('theme') ?? 'auto';
  return h(
    'section',
    {key: 'theme', 'aria-labelledby': 'theme-title'},
    h('h2', {id: 'theme-title'}, 'This device'),
    h(
      'div',
      {class: 'row', role: 'group', 'aria-label': 'Light or dark'},
      THEMES.map(([theme, text]) =>
        h(
          'label',
          {class: 'check', key: theme},
          h('input', {
            type: 'radio',
            name: 'theme',
            value: theme,
            checked: theme === chosen,
            onchange: () => turnTheme(theme),
          }),
          text,
        ),
      ),
    ),
  );
}

export function settingsView() {
  return h(
    'div',
    {key: 'settings', class: 'column'},
    h('h2', {class: 'unseen', id: 'view-title', tabindex: -1}, 'Settings'),
    themeSection(),
  );
}
