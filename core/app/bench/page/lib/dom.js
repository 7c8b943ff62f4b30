/**
 * Descriptions of elements and the one function that makes a part of the page match them. Nodes that are described
 * again are kept, so that focus, caret and a screen reader's place survive a change. Text is always text.
 */

/** @typedef {{tag: string, key: ?string, props: Object<string, *>, kids: Array<Kid>}} Description */
/** @typedef {Description|Node|string} Kid */

const SVG = 'http://www.w3.org/2000/svg';
const AS_PROPERTY = new Set(['value', 'checked', 'disabled', 'open', 'selected', 'hidden']);
/** What each node was last made from. @type {WeakMap<Node, Description>} */
const made = new WeakMap();

/**
 * @param {string} tag
 * @param {?Object<string, *>} [props] attributes; `on...` handlers; `style` as an object; `key`; `ref(node)` once made
 * @param {...*} kids strings, descriptions, nodes, lists of them; null and false are left out
 * @returns {Description}
 */
export function h(tag, props, ...kids) {
  const list = kids
    .flat(Infinity)
    .filter((kid) => kid !== null && kid !== undefined && kid !== false && kid !== true);
  return {
    tag,
    key: props?.key ?? null,
    props: props ?? {},
    kids: list.map((k) => (typeof k === 'number' ? String(k) : k)),
  };
}

function setStyle(node, now, before) {
  for (const name of Object.keys(before ?? {})) if (!(name in now)) node.style.setProperty(name, '');
  for (const [name, value] of Object.entries(now))
    if (before?.[name] !== value) node.style.setProperty(name, value);
}

function setProperty(node, name, value) {
  // A field somebody is typing in keeps what was typed until it is left.
  if (name === 'value' && node === document.activeElement && node.tagName !== 'SELECT') return;
  if (node[name] !== (value ?? '')) node[name] = value ?? '';
}

function setProp(node, name, value, before) {
  if (name === 'key' || name === 'ref') return;
  if (name === 'style') setStyle(node, value ?? {}, before);
  else if (name.startsWith('on')) node[name] = value ?? null;
  else if (AS_PROPERTY.has(name)) {
    // An element that people open themselves, or a default value, changes only when its description does.
    if (value !== before) setProperty(node, name, value);
  } else if (value === before) return;
  else if (value === null || value === undefined || value === false) node.removeAttribute(name);
  else node.setAttribute(name, value === true ? '' : String(value));
}

function setProps(node, now, before) {
  for (const name of Object.keys(before)) if (!(name in now)) setProp(node, name, undefined, before[name]);
  for (const [name, value] of Object.entries(now)) setProp(node, name, value, before[name]);
}

function make(kid, parent) {
  if (kid instanceof Node) return kid;
  if (typeof kid === 'string') return document.createTextNode(kid);
  const inSvg = kid.tag === 'svg' || (parent.namespaceURI === SVG && parent.localName !== 'foreignObject');
  const node = inSvg ? document.createElementNS(SVG, kid.tag) : document.createElement(kid.tag);
  fill(node, kid, {});
  kid.props.ref?.(node);
  return node;
}

function fill(node, kid, before) {
  // Options must stand in a list before its value can be chosen.
  const {value, ...others} = kid.props;
  const {value: valueBefore, ...othersBefore} = before;
  setProps(node, others, othersBefore);
  show(node, kid.kids);
  if ('value' in kid.props) setProp(node, 'value', value, valueBefore);
  made.set(node, kid);
}

function fits(node, kid) {
  if (typeof kid === 'string') return node.nodeType === Node.TEXT_NODE;
  const was = made.get(node);
  return was !== undefined && was.tag === kid.tag && was.key === kid.key;
}

/** For each kid an existing node of the same kind and key, or null. */
function match(nodes, kids) {
  const keyed = new Map();
  const free = [];
  for (const node of nodes) {
    const key = made.get(node)?.key;
    if (key) keyed.set(key, node);
    else free.push(node);
  }
  return kids.map((kid) => {
    if (kid instanceof Node) return kid;
    if (kid.key) return keyed.has(kid.key) && fits(keyed.get(kid.key), kid) ? keyed.get(kid.key) : null;
    const at = free.findIndex((node) => fits(node, kid));
    return at < 0 ? null : free.splice(at, 1)[0];
  });
}

/**
 * Makes the content of `parent` what `kids` describe.
 * @param {Element} parent
 * @param {Array<Kid>|Kid} kids
 */
export function show(parent, kids) {
  const list = Array.isArray(kids) ? kids : [kids];
  const found = match([...parent.childNodes], list);
  const kept = new Set(found);
  for (const node of [...parent.childNodes]) if (!kept.has(node)) node.remove();
  let next = parent.firstChild;
  list.forEach((kid, i) => {
    let node = found[i];
    if (!node) node = make(kid, parent);
    else if (typeof kid === 'string') {
      if (node.data !== kid) node.data = kid;
    } else if (!(kid instanceof Node)) fill(node, kid, made.get(node).props);
    if (node === next) next = next.nextSibling;
    else parent.insertBefore(node, next);
  });
}
