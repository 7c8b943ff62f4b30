/**
 * The photo on the bench: zoom, pan, marks to take hold of, a loupe. It keeps only where one looks; what is marked
 * comes in by `show` and goes out by `on`.
 */
import {h, show} from '../lib/dom.js';
import {boxShape, handleMoved, handles, inside, moved} from '../lib/shape.js';
import {settled} from '../lib/newest.js';
import {icon} from '../lib/icons.js';
import {fitted, fitScale, kept, seen, toPhoto, zoomed} from './view.js';
import {drawing, holds} from './overlay.js';
import {rowHeight, tagPlaces} from './tags.js';
import {asideCanvas, createLoupe} from './loupe.js';
import {followPointers} from './gestures.js';
import {followKeys} from './keys.js';

/**
 * @typedef {{id: string, url: string, width: number, height: number, sharp: boolean}} StagePhoto  sharp: the server has it
 * @typedef {{photo: ?StagePhoto, marks: Array<import('./overlay.js').Mark>, selected: ?string,
 *   draw: null|'rect'|'ellipse'|'lasso'|'point', grid: ?Array<Array<number>>, classes: ?Array<*>, readOnly: boolean, alt: string}} StageModel
 * @typedef {{change: (id: string, value: *, done: boolean) => void, drawn: (value: *) => void, point: (p: [number, number]) => void,
 *   select: (id: string) => void, remove: (id: string) => void}} StageEvents
 */

const NOTHING = {
  photo: null,
  marks: [],
  selected: null,
  draw: null,
  grid: null,
  classes: null,
  readOnly: true,
  alt: '',
};
const TALLEST = 0.62; // of the window
const DEFAULT_HALF_WIDTH = 0.16; // of the window's shorter side

/** An element of a class; nothing a screen reader need know of. */
function part(tag, name) {
  const node = document.createElement(tag);
  node.className = name;
  return node;
}

export class Stage {
  /** @param {StageEvents} on */
  constructor(on) {
    this.on = on;
    /** @type {StageModel} */
    this.model = NOTHING;
    this.view = {scale: 1, x: 0, y: 0};
    /** Of the photo; under it the row of tags. */
    this.room = {width: 1, height: 1, row: 0};
    this.atFit = true;
    this.held = false;
    /** A shape or line being drawn. @type {{shape: *, line: Array<[number, number]>}} */
    this.pending = {shape: null, line: []};
    this.sharpen = settled(180, () => this.#loadDetail());
    this.#build();
    followPointers(this);
    followKeys(this);
    new ResizeObserver(() => this.#resized()).observe(this.node);
  }

  #build() {
    this.image = Object.assign(part('img', 'base'), {draggable: false});
    this.detail = Object.assign(part('img', 'detail'), {alt: '', hidden: true});
    this.aside = part('div', 'aside');
    this.plate = part('div', 'plate');
    this.plate.append(this.image, this.detail, this.aside);
    this.overlay = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
    this.overlay.setAttribute('class', 'overlay');
    this.overlay.setAttribute('aria-hidden', 'true');
    this.grips = part('div', 'grips');
    this.loupe = createLoupe();
    /** Closer and farther; whoever shows the stage places it. */
    this.zoom = part('div', 'zoom');
    const button = (label, name, onclick) =>
      h('button', {type: 'button', 'aria-label': label, onclick}, icon(name));
    show(this.zoom, [
      button('Closer', 'plus', () => this.zoomBy(1.5)),
      button('Farther', 'minus', () => this.zoomBy(1 / 1.5)),
      button('Whole photo', 'whole', () => this.fit()),
    ]);
    this.node = Object.assign(part('div', 'stage'), {tabIndex: 0});
    this.node.setAttribute('role', 'group');
    this.node.append(this.plate, this.overlay, this.grips, this.loupe.node);
  }

  /** @param {StageModel} next */
  show(next) {
    const before = this.model;
    this.model = next;
    this.image.alt = next.alt;
    this.node.setAttribute('aria-label', `${next.alt}. Plus and minus zoom, arrow keys pan.`);
    this.node.classList.toggle('drawing', Boolean(next.draw));
    if (next.photo) this.#showPhoto(next.photo, before.photo);
    if (next.classes !== before.classes) this.#showAside();
    if (next.photo && rowHeight(this.room.width, next.marks) !== this.room.row) this.#resized(true);
    this.paint();
  }

  #showPhoto(photo, before) {
    if (photo.url !== before?.url) this.#loadImage(photo, before);
    if (photo.id !== before?.id) this.detail.hidden = true;
    if (photo.width === before?.width && photo.height === before?.height) return;
    Object.assign(this.plate.style, {width: `${photo.width}px`, height: `${photo.height}px`});
    this.#measureRoom();
    this.view = fitted(photo, this.room);
    this.atFit = true;
  }

  /** What was shown at once stays until the server's picture of the same photo is there. */
  async #loadImage(photo, before) {
    if (before && !before.sharp && photo.sharp) {
      const next = new Image();
      next.src = photo.url;
      await next.decode().catch(() => {});
    }
    if (this.model.photo?.url === photo.url) this.image.src = photo.url;
  }

  #showAside() {
    this.aside.replaceChildren(...(this.model.classes ?? []).map(asideCanvas));
  }

  /* A sharper picture of what is seen, once the eye rests. */
  #loadDetail() {
    const {photo} = this.model;
    this.detail.hidden = true;
    if (!photo?.sharp || this.view.scale * devicePixelRatio <= this.image.naturalWidth / photo.width) return;
    const p = seen(this.view, photo, this.room);
    if (p.w < 8 || p.h < 8) return;
    const side = Math.min(1600, Math.round(Math.max(this.room.width, this.room.height) * devicePixelRatio));
    const next = new Image();
    next.onload = () => {
      this.detail.src = next.src;
      Object.assign(this.detail.style, {
        left: `${p.x}px`,
        top: `${p.y}px`,
        width: `${p.w}px`,
        height: `${p.h}px`,
      });
      this.detail.hidden = false;
    };
    next.src = `/api/photos/${photo.id}/crop?x=${p.x}&y=${p.y}&w=${p.w}&h=${p.h}&side=${side}`;
  }

  paint() {
    const {model, view, room, pending} = this;
    if (!model.photo) return;
    this.plate.style.transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale})`;
    const marks = pending.shape
      ? [...model.marks, {id: 'pending', label: '', shape: pending.shape}]
      : model.marks;
    const places = tagPlaces(model.marks, view, room, model.selected);
    const drawn = drawing({...model, marks, line: pending.line, places}, view, room);
    show(this.overlay, drawn.flat(Infinity).filter(Boolean));
    show(this.grips, holds(model.marks, view, places, model.selected, model.readOnly));
  }

  /* ---- where one looks */

  look(next, stayFit = false) {
    if (!this.model.photo) return;
    this.view = kept(next, this.model.photo, this.room);
    this.atFit = stayFit || this.view.scale <= fitScale(this.model.photo, this.room) * 1.001;
    this.paint();
    this.sharpen();
  }
  zoomBy(factor, at = [this.room.width / 2, this.room.height / 2]) {
    if (this.model.photo) this.look(zoomed(this.view, factor, at, this.model.photo, this.room));
  }
  fit() {
    if (this.model.photo) this.look(fitted(this.model.photo, this.room), true);
  }
  panBy(dx, dy) {
    this.look({...this.view, x: this.view.x + dx, y: this.view.y + dy});
  }

  /** Of all the height that is left where the photo fills the screen; else by the photo's own sides. */
  #measureRoom() {
    const {photo} = this.model;
    const width = this.node.clientWidth || 320;
    const row = rowHeight(width, this.model.marks);
    const fills = this.node.closest('.full') !== null;
    const wanted = Math.min((width * photo.height) / photo.width, Math.max(260, innerHeight * TALLEST)) + row;
    this.node.style.height = fills ? '' : `${Math.round(wanted)}px`;
    const height = (this.node.clientHeight || wanted) - row;
    this.room = {width, height, row};
    this.node.style.setProperty('--row', `${row}px`);
    this.overlay.setAttribute('viewBox', `0 0 ${width} ${height + row}`);
  }

  /** While a finger is on the photo it keeps its place, whatever the page around it does. */
  hold(held) {
    this.held = held;
    if (!held) this.#resized();
  }

  #resized(rowToo = false) {
    const {width, height, row} = this.room;
    const same =
      !rowToo && Math.abs(this.node.clientWidth - width) < 1 && Math.abs(this.node.clientHeight - height - row) < 1;
    if (!this.model.photo || same || this.held) return;
    this.#measureRoom();
    this.look(this.atFit ? fitted(this.model.photo, this.room) : this.view, this.atFit);
  }

  /* ---- marks */

  mark(id) {
    return this.model.marks.find((mark) => mark.id === id);
  }
  inPhoto([x, y]) {
    return [
      Math.min(Math.max(0, x), this.model.photo.width),
      Math.min(Math.max(0, y), this.model.photo.height),
    ];
  }
  /** Where a mark can be taken hold of. */
  points(mark) {
    return mark.corners ?? handles(mark.shape);
  }
  setHandle(id, i, p, done) {
    const mark = this.mark(id);
    if (!mark) return;
    if (mark.corners)
      this.on.change(
        id,
        mark.corners.map((q, j) => (j === i ? this.inPhoto(p) : q)),
        done,
      );
    else this.on.change(id, handleMoved(mark.shape, i, p, this.model.photo), done);
  }
  movedMark(mark, dx, dy) {
    if (mark.corners) return mark.corners.map(([x, y]) => this.inPhoto([x + dx, y + dy]));
    return moved(mark.shape, dx, dy, this.model.photo);
  }
  /** A shape of a handy size; in the middle of what is seen, for those who place by keys. */
  handyShape(kind, middle = toPhoto(this.view, [this.room.width / 2, this.room.height / 2])) {
    const w = (Math.min(this.room.width, this.room.height) / this.view.scale) * DEFAULT_HALF_WIDTH;
    const of = kind === 'rect' ? 'rect' : 'ellipse';
    return inside(
      boxShape(of, [middle[0] - w, middle[1] - w / 2], [middle[0] + w, middle[1] + w / 2]),
      this.model.photo,
    );
  }
  /** A shape is moved as a whole first, a card corner by corner. */
  focusMark(id) {
    const mark = `[data-mark="${CSS.escape(id)}"]`;
    const node =
      this.grips.querySelector(id === 'card' ? mark : `.tag${mark}`) ?? this.grips.querySelector(mark);
    node?.focus();
  }
}
