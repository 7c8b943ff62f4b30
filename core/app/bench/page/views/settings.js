/** How this device shows the page, how the shop works, what was done, and a copy of the book. */
import {h} from '../lib/dom.js';
import {recall, remember} from '../lib/memory.js';
import {capital, clock, day, entryWords, sentence, unitName} from '../lib/words.js';
import {loadHistoryOfBook, loadSettings, savePluginNumbers, saveSettings} from '../bench/shop.js';
import {change, state} from '../bench/state.js';
import {redo, undo} from '../bench/work.js';
import {button, field} from './parts.js';

/** Loads what the view lacks; called when it is gone to. */
export function enterSettings() {
  loadSettings();
  loadHistoryOfBook();
}

/* ---- this device */

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
  const choice = ([theme, text]) =>
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
    );
  return h(
    'section',
    {key: 'theme', 'aria-labelledby': 'theme-title'},
    h('h2', {id: 'theme-title'}, 'This device'),
    h('div', {class: 'row', role: 'group', 'aria-label': 'Light or dark'}, THEMES.map(choice)),
  );
}

/* ---- the shop */

const BY_VOLUME = 'by-volume';
const NONE = 'none';
const STEPS = [
  ['drops', 'whole drops'],
  ['half', 'half drops, too'],
  ['syringe', 'any amount, by syringe'],
];
const UNITS = [
  ['us', 'fl oz and \u00b0F'],
  ['metric', 'ml and \u00b0C'],
];

const save = (name, empty) => (event) => saveSettings({[name]: event.target.value.trim() || empty});

function shopFields({settings}) {
  const most = settings['max-drops'];
  const unit = unitName(settings.units);
  return [
    field('Measured in', {options: UNITS, value: settings.units, onchange: save('units', null)}),
    field(`Clear base in a fresh cup, ${unit}`, {
      type: 'number',
      inputmode: 'decimal',
      min: 0.1,
      step: 'any',
      value: parseFloat(settings.volume),
      onchange: (event) => saveSettings({volume: event.target.value ? event.target.value + unit.replace(' ', '') : null}),
    }),
    field('Most drops in a cup', {
      type: 'number',
      inputmode: 'decimal',
      min: 1,
      value: most === BY_VOLUME ? '' : most,
      placeholder: 'goes by the volume',
      onchange: save('max-drops', null),
    }),
    field('Most bottles in a cup', {
      type: 'number',
      inputmode: 'numeric',
      min: 1,
      value: settings['max-bottles'],
      onchange: save('max-bottles', null),
    }),
    field('Drops are counted in', {options: STEPS, value: settings.step, onchange: save('step', null)}),
    field('Card: mm from the middle of its first patch to that of the last in the row', {
      type: 'number',
      inputmode: 'decimal',
      min: 1,
      step: 'any',
      value: settings['card-width'] === NONE ? '' : settings['card-width'],
      placeholder: 'not known',
      onchange: save('card-width', null),
    }),
  ];
}

const shopSection = () =>
  h(
    'section',
    {key: 'shop', 'aria-labelledby': 'shop-title'},
    h('h2', {id: 'shop-title'}, 'The shop'),
    h('p', {class: 'soft'}, 'Kept in the book: commands go by it, too.'),
    state.settings ? h('div', {class: 'fields'}, shopFields(state.settings)) : h('p', {}, 'Looking it up.'),
  );

const numberField = (plugin) => (p) =>
  field(`${capital(p.words)}, ${p.least} to ${p.most}`, {
    key: `${plugin.id}.${p.name}`,
    type: 'number',
    inputmode: 'decimal',
    min: p.least,
    max: p.most,
    step: 'any',
    value: p.value,
    placeholder: `usually ${p.usual}`,
    onchange: (event) =>
      savePluginNumbers(plugin.id, {[p.name]: event.target.value === '' ? null : Number(event.target.value)}),
  });

/** What advisers go by that is a matter of taste. */
function tasteSection() {
  const tunable = state.boot.plugins.filter((plugin) => plugin.usable && plugin.parameters?.length);
  if (!tunable.length) return null;
  return h(
    'section',
    {key: 'taste', 'aria-labelledby': 'taste-title'},
    h('h2', {id: 'taste-title'}, 'How advice is given'),
    tunable.map((plugin) =>
      h(
        'div',
        {class: 'fields', key: plugin.id, role: 'group', 'aria-label': plugin.title},
        plugin.parameters.map(numberField(plugin)),
      ),
    ),
  );
}

const backupSection = () =>
  h(
    'section',
    {key: 'backup', 'aria-labelledby': 'backup-title'},
    h('h2', {id: 'backup-title'}, 'A copy of the book'),
    h(
      'p',
      {class: 'soft'},
      'Patterns, targets, bottles, batches and settings in one file; the photos themselves stay in their folder. ',
      'The command dropwise book restore puts a copy in place.',
    ),
    h('a', {class: 'as-button', href: '/api/backup', download: 'dropwise-book.db'}, 'Save a copy'),
  );

/* ---- what was done */

const STATES = {undone: 'taken back', dropped: 'taken back'};

const entryRow = (entry) =>
  h(
    'li',
    {key: `${entry.id}`, class: STATES[entry.state] ? 'entry gone' : 'entry'},
    h('span', {class: 'figures'}, `${day(entry.when)}, ${clock(entry.when)}`),
    h(
      'span',
      {},
      sentence(entryWords(entry.words)),
      entry.door === 'command' && h('span', {class: 'soft'}, ' By a command.'),
      STATES[entry.state] && h('strong', {}, ` ${sentence(STATES[entry.state])}`),
    ),
  );

function historySection() {
  const entries = state.entries?.entries;
  const step = (way, text, run) =>
    state.work?.[way] && button(`${text}: ${entryWords(state.work[way].words)}`, run, 'quiet', {key: way});
  const then = (run) => () => run().then(loadHistoryOfBook);
  return h(
    'section',
    {key: 'history', 'aria-labelledby': 'history-title'},
    h('h2', {id: 'history-title'}, 'What was done'),
    h('div', {class: 'row'}, step('undo', 'Undo', then(undo)), step('redo', 'Redo', then(redo))),
    entries?.length
      ? h('ol', {class: 'entries', 'aria-label': 'The newest first'}, entries.map(entryRow))
      : h('p', {}, entries ? 'Nothing yet.' : 'Looking it up.'),
  );
}

export function settingsView() {
  return h(
    'div',
    {key: 'settings', class: 'column'},
    h('h2', {class: 'unseen', id: 'view-title', tabindex: -1}, 'Settings'),
    themeSection(),
    shopSection(),
    tasteSection(),
    backupSection(),
    historySection(),
  );
}
