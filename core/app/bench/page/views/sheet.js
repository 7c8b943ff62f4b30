/** The cup sheet: layers in order, drops, volumes, room to write; made for paper. */
import {h} from '../lib/dom.js';
import {addText, capital, day, dropsText, volume} from '../lib/words.js';
import {layerOf, state, units} from '../bench/state.js';
import {bestAdvice} from '../bench/advice.js';
import {wish} from '../bench/plan.js';
import {button, note, swatch} from './parts.js';

/** The label is shown where the head of the table is not. */
const cell = (label, ...kids) => h('td', {'data-label': label}, kids);

function cupRow(cup, i) {
  const layer = layerOf(cup.layer);
  const target = layer?.target ?? null;
  const best = bestAdvice(cup.layer);
  return h(
    'tr',
    {key: cup.layer},
    h('th', {scope: 'row'}, `${i + 1}. ${capital(cup.layer)}`),
    cell(
      'Aimed for',
      swatch(target, 'block'),
      target
        ? capital(layer.words ?? '')
        : 'no target',
    ),
    cell('In it', capital(dropsText(cup.drops))),
    cell('To add', h('strong', {}, best ? addText(best, units()) : 'nothing')),
    cell('Clear base', `${volume(cup.volume_floz, units())} of ${volume(cup.capacity_floz, units())}`),
    cell('Done', h('span', {class: 'unseen'}, 'Room to write')),
  );
}

/** The sheet without script, its cups in the order of the mold that is planned with. */
function plainPage(work) {
  const [mold] = wish().molds;
  return `/sheet/${work.id}${mold ? `?mold=${encodeURIComponent(mold)}` : ''}`;
}

export function sheetView() {
  if (!state.work)
    return h(
      'section',
      {key: 'sheet'},
      h('h2', {}, 'No sheet yet'),
      h('p', {}, 'Put a pattern on the bench first.'),
      h('a', {class: 'as-button', href: '#mix'}, 'To the bench'),
    );
  const {work} = state;
  const total = work.cups.reduce((sum, cup) => sum + cup.volume_floz, 0);
  return h(
    'section',
    {key: 'sheet', class: 'sheet', 'aria-labelledby': 'view-title'},
    h(
      'div',
      {class: 'head'},
      h('h2', {id: 'view-title', tabindex: -1}, `${capital(work.name)}: cup sheet`),
      h(
        'div',
        {class: 'row no-print'},
        button('Print', () => window.print()),
        h('a', {class: 'as-button', href: plainPage(work)}, 'Plain page'),
      ),
    ),
    h(
      'p',
      {class: 'soft'},
      `${day(new Date().toISOString())}. ${work.cups.length} cups, ${volume(total, units())} in all.`,
    ),
    h(
      'div',
      {class: 'table-scroll', tabindex: 0, role: 'region', 'aria-label': 'Cups'},
      h(
        'table',
        {},
        h(
          'thead',
          {},
          h(
            'tr',
            {},
            ['Cup', 'Aimed for', 'In it', 'To add', 'Clear base', 'Done'].map((t) =>
              h('th', {scope: 'col', key: t}, t),
            ),
          ),
        ),
        h('tbody', {}, work.cups.map(cupRow)),
      ),
    ),
    h('h3', {}, 'Into the mold'),
    h(
      'p',
      {},
      `In this order: ${work.cups.map((cup) => cup.layer).join(', then ')}. All cups ready at the same moment and about equally hot. Check which side of the mold is the bait\u2019s back before the first shot.`,
    ),
    h('h3', {}, 'Mind'),
    h(
      'ul',
      {},
      (state.boot.cautions ?? []).map((text, i) => h('li', {key: `${i}`}, text)),
    ),
    note('These drops are for the bottles on your shelf as they are known now.', 'soft'),
  );
}
