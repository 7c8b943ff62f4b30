/** Patterns and what each of their layers aims for. */
import {h} from '../lib/dom.js';
import {capital, day, percent, plural} from '../lib/words.js';
import {state} from '../bench/state.js';
import {loadHistory, removePattern, renamePattern, setSeeThrough, setSwirl, setTarget, setTone, targetDetail} from '../bench/patterns.js';
import {startWork} from '../bench/work.js';
import {button, field, formValues, sure, swatch} from './parts.js';
import {patternForm} from './chooser.js';

function numbersForm(p, layer) {
  const at = layer.target ?? ['', '', ''];
  const number = {type: 'number', inputmode: 'text', step: 'any', required: true};
  const save = (event) => {
    const v = formValues(event);
    setTarget(p.id, layer.name, {lab: [Number(v.L), Number(v.a), Number(v.b)], detail: {how: 'typed'}});
  };
  return h(
    'form',
    {class: 'row end', onsubmit: save, 'aria-label': `The ${layer.name} by numbers`},
    h('p', {class: 'soft wide-line'}, 'Or by numbers, as an instrument gives them (CIELAB, D50):'),
    field('L*', {...number, name: 'L', min: 0, max: 100, value: at[0]}),
    field('a*', {...number, name: 'a', min: -128, max: 128, value: at[1]}),
    field('b*', {...number, name: 'b', min: -128, max: 128, value: at[2]}),
    h('button', {type: 'submit', class: 'quiet'}, 'Aim for these numbers'),
  );
}

function photoButton(p, layer) {
  const r = state.work?.pattern === p.id ? state.readings[layer.name]?.reading : null;
  if (!r)
    return h(
      'p',
      {class: 'soft'},
      'To take it from a photo, put this pattern on the bench and mark the layer there.',
    );
  return h(
    'div',
    {class: 'row middle'},
    swatch(r.lab),
    button(
      `Take it from the photo: ${r.words ?? 'its color'}`,
      () =>
        setTarget(p.id, layer.name, {
          lab: r.lab,
          uncertainty_de00: r.uncertainty_de00,
          photo: state.photo.id,
          detail: targetDetail(layer.name, r),
        }),
      'quiet',
    ),
  );
}

/* How much light a layer is to let through, as a contrast ratio over black and white. */
const SEE_THROUGH = [
  ['', 'as it comes'],
  ['0.2', 'nearly clear'],
  ['0.4', 'see-through'],
  ['0.65', 'cloudy'],
  ['0.9', 'nearly solid'],
  ['1', 'solid'],
];

function seeThroughField(p, layer) {
  const value = layer.see_through === null ? '' : String(layer.see_through);
  const known = SEE_THROUGH.some(([v]) => v === value);
  const onchange = (event) =>
    setSeeThrough(p.id, layer.name, event.target.value === '' ? null : Number(event.target.value));
  return field('It is to be', {
    value,
    options: known ? SEE_THROUGH : [...SEE_THROUGH, [value, value]],
    onchange,
  });
}

/** The range of natural colors that it is to stay in. */
function toneField(p, layer) {
  const tones = state.boot.tones.filter((tone) => tone.references > 0);
  if (tones.length === 0) return null;
  const text = (tone) => (tone.invented ? `${tone.name} (invented)` : tone.name);
  return field('Its natural tone', {
    value: layer.tone ?? '',
    options: [['', 'none'], ...tones.map((tone) => [tone.name, text(tone)])],
    onchange: (event) => setTone(p.id, layer.name, event.target.value || null),
  });
}

function past(p, layer) {
  const list = state.history[`${p.id} ${layer.name}`];
  if (!list) return button('Earlier targets', () => loadHistory(p.id, layer.name), 'quiet small');
  if (list.length === 0) return h('p', {class: 'soft'}, 'None so far.');
  return h(
    'ol',
    {class: 'past'},
    list.map((t, i) =>
      h(
        'li',
        {key: `${i}`},
        swatch(t.lab),
        h('span', {}, day(t.since)),
        i > 0 &&
          button(
            'Aim for it again',
            () =>
              setTarget(p.id, layer.name, {
                lab: t.lab,
                uncertainty_de00: t.uncertainty_de00,
                photo: t.photo,
              }),
            'quiet small',
          ),
      ),
    ),
  );
}

function layerRow(p, layer) {
  const how = layer.target_how ? `${layer.target_how}, ` : '';
  return h(
    'li',
    {class: 'target', key: layer.name},
    swatch(layer.target, layer.target ? 'large' : 'large none'),
    h(
      'div',
      {},
      h('h3', {}, capital(layer.name)),
      layer.target
        ? h(
            'p',
            {},
            layer.words && capital(layer.words),
            h(
              'span',
              {class: 'soft'},
              ` ${how}${layer.target_since ? `since ${day(layer.target_since)}` : ''}`,
            ),
          )
        : h('p', {class: 'soft'}, layer.tone ? `Held to the natural tone ${layer.tone}.` : 'Nothing to aim for yet.'),
      h(
        'details',
        {},
        h('summary', {}, 'Change', h('span', {class: 'unseen'}, ` what the ${layer.name} aims for`)),
        photoButton(p, layer),
        numbersForm(p, layer),
        seeThroughField(p, layer),
        toneField(p, layer),
        past(p, layer),
      ),
    ),
  );
}

/** Whether its layers are colors without order, and how much of the bait each is to have. */
function swirlForm(p) {
  if (p.layers.length < 2 || p.layers.length > 3) return null;
  const save = (event) => setSwirl(p.id, Object.values(formValues(event)).map(Number));
  const shares = p.layers.map((layer) => layer.share);
  const wanted = shares.every((share) => share !== null) ? ` of ${shares.map(percent).join(' and ')}` : '';
  return h(
    'details',
    {},
    h('summary', {}, p.swirl ? `A swirl${wanted}` : 'Layers in order'),
    p.swirl
      ? h(
          'form',
          {class: 'row end shares', onsubmit: save, 'aria-label': `Shares of ${p.name}`},
          p.layers.map((layer) =>
            field(`${capital(layer.name)}, %`, {
              key: layer.name,
              type: 'number',
              inputmode: 'decimal',
              name: layer.name,
              min: 1,
              max: 100,
              step: 'any',
              required: true,
              value: layer.share === null ? '' : String(Math.round(100 * layer.share)),
            }),
          ),
          h('button', {type: 'submit', class: 'quiet'}, 'Want these shares'),
        )
      : h('p', {class: 'soft'}, 'As a swirl, photos are read for the share of each color; borders mean nothing then.'),
    h(
      'div',
      {class: 'row'},
      p.swirl
        ? button('Layers in order', () => setSwirl(p.id, false), 'quiet')
        : button('Make it a swirl', () => setSwirl(p.id, true), 'quiet'),
    ),
  );
}

function patternSection(p) {
  const rename = (event) => {
    const v = formValues(event);
    renamePattern(p.id, String(v.name).trim(), String(v.note).trim());
  };
  return h(
    'section',
    {key: `p${p.id}`, 'aria-labelledby': `pattern-${p.id}`},
    h(
      'div',
      {class: 'head'},
      h(
        'h2',
        {id: `pattern-${p.id}`},
        capital(p.name),
        ' ',
        h('small', {}, plural(p.batches ?? 0, 'batch', 'batches')),
      ),
      state.work?.pattern === p.id
        ? h('span', {class: 'soft'}, 'on the bench')
        : button(
            'Put it on the bench',
            async () => (await startWork(p.id)) && (location.hash = '#mix'),
            'quiet',
          ),
    ),
    p.note && h('p', {class: 'soft'}, p.note),
    h(
      'ul',
      {class: 'targets'},
      p.layers.map((layer) => layerRow(p, layer)),
    ),
    swirlForm(p),
    h(
      'details',
      {},
      h('summary', {}, 'Rename or remove'),
      h(
        'form',
        {class: 'row end', onsubmit: rename},
        field('Name', {type: 'text', name: 'name', required: true, maxlength: 60, value: p.name}),
        field('Note', {type: 'text', name: 'note', maxlength: 400, value: p.note}),
        h('button', {type: 'submit', class: 'quiet'}, 'Keep'),
      ),
      button(
        'Remove this pattern',
        () => sure(`Remove ${p.name} with its targets?`) && removePattern(p.id),
        'quiet bad',
      ),
    ),
  );
}

export function targetsView() {
  return h(
    'div',
    {key: 'targets', class: 'column'},
    h('h2', {class: 'unseen', id: 'view-title', tabindex: -1}, 'Targets'),
    state.boot.patterns.map(patternSection),
    h('section', {key: 'new'}, h('h2', {}, 'A new pattern'), patternForm('targets')),
  );
}
