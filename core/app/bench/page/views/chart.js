/** A chart that the server drew, taken over piece by piece: only shapes and text, so that nothing in it can run. */
import {h} from '../lib/dom.js';

const TAGS = new Set([
  'svg',
  'g',
  'title',
  'line',
  'polyline',
  'polygon',
  'path',
  'rect',
  'circle',
  'ellipse',
  'text',
]);
const ATTRIBUTES = new Set(
  (
    'viewBox role font-size font-family stroke stroke-width stroke-opacity stroke-dasharray fill fill-opacity ' +
    'x y x1 y1 x2 y2 cx cy r rx ry width height points d text-anchor'
  ).split(' '),
);

function describe(node) {
  if (node.nodeType === Node.TEXT_NODE) return node.data;
  if (!TAGS.has(node.localName)) return null;
  const props = {};
  for (const {name, value} of node.attributes)
    if (ATTRIBUTES.has(name) && !value.includes('url(')) props[name] = value;
  return h(node.localName, props, [...node.childNodes].map(describe));
}

/** @param {string} svg @param {string} [name] its class @returns {?Object} a description in the colors of the page */
export function chart(svg, name = 'chart') {
  const drawn = new DOMParser().parseFromString(svg, 'text/html').querySelector('svg');
  if (!drawn) return null;
  const described = describe(drawn);
  described.props.class = name;
  return described;
}
