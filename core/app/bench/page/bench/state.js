/**
 * Everything the page knows, in one object. It flows one way: a person or the server changes the state (`change`), the
 * views are drawn from it, and the followers (photo, reading, advice) ask the server for what it lacks.
 */

/** @typedef {import('../lib/color.js').Lab} Lab */
/**
 * @typedef {{card?: {set: string, corners: number[]}, gray?: {shape: string, y: number}, poured?: number, found?: Object, layers: Array<{name: string, shape: string}>}} Marks
 * @typedef {{id: string, url: string, width: number, height: number, sharp: boolean, profile?: string, taken?: string, warnings: string[]}} Photo
 * @typedef {{key: string, reading: ?Object, error: string}} Reading
 */

/** What is known of a swirl, and of a turned bait, before any photo of it. */
export const NO_SWIRL = {photo: '', answer: null, error: ''};
export const NO_TURN = {photos: [], busy: false, answer: null, error: ''};

export const state = {
  /** The answer of /api/state. @type {?Object} */
  boot: null,
  paired: true,
  /** Why nothing could be loaded at all. */
  bootError: '',
  away: false,
  route: {view: 'mix', arg: ''},
  /** What lies on the bench, as the server has it. @type {?Object} */
  work: null,
  /** @type {?Photo} */
  photo: null,
  photoBusy: false,
  photoError: '',
  /* ---- marking */
  /** As drawn; the server has them a moment later. @type {Marks} */
  marks: {layers: []},
  /** What holds the person up while a photo comes in; "" for nothing. */
  finding: '',
  /** The photo fills the screen, for marking. */
  full: false,
  /**
   * Readings that are asked about before they are kept.
   * @type {?{use: string, list: Array<{layer: string, words: string}>}}
   */
  doubts: null,
  /** Drops that look as if they lay in another order than the cups, see bench/drizzle.js. @type {?{photo: string, order: string[]}} */
  drizzle: null,
  /** Corners tapped so far. @type {Array<[number, number]>} */
  corners: [],
  /** What is being marked: 'card', 'gray', 'layer:NAME'. @type {?string} */
  selected: null,
  /** The next drag draws the selected one anew. */
  redraw: false,
  tool: 'rect',
  aside: false,
  /** @type {{key: string, grid: ?number[][], light: ?Object, error: string}} */
  light: {key: '', grid: null, light: null, error: ''},
  /** By layer. @type {Object<string, Reading>} */
  readings: {},
  /* ---- the cups and their advice */
  /** By layer, as the server advises. @type {Object<string, Object>} */
  advice: {},
  adviceNotes: [],
  adviceError: '',
  /** The bait as the cups are and as they will be, see bench/bait.js. @type {{now: ?Object, then: ?Object, error: string}} */
  bait: {now: null, then: null, error: ''},
  /** What a pour takes, see bench/plan.js. @type {{plan: ?Object, error: string}} */
  plan: {plan: null, error: ''},
  /** The batch closed last, as its cups were, see views/finished.js. @type {?{work: number, name: string, good: boolean, cups: Array<Object>}} */
  finished: null,
  /** Percentages of the layers as typed, while they don't add up to the whole bait. @type {?number[]} */
  sharesTyped: null,
  /** The mold being changed: its name, "" for a new one. @type {?string} */
  editingMold: null,
  /** Predicted color of cups whose layer has no target. @type {Object<string, Object>} */
  predicted: {},
  /** Layer whose cup is open; null: the first with something to do. @type {?string} */
  open: null,
  /** Layer whose cup is being edited. @type {?string} */
  editing: null,
  /** By layer, the proposal chosen instead of the best: the question it answers, and its place among the answers. */
  ways: {},
  /** By layer, see bench/count.js. @type {?Object} */
  counts: null,
  /** Pours that the server has not had yet, see bench/pour.js. @type {Array<Object>} */
  kept: [],
  /** A photo on its way, see bench/upload.js. @type {?{name: string, share: number, cancel: () => void}} */
  upload: null,
  /** Requests under way that hold up a button. */
  busy: '',
  /** One message at a time. @type {?{text: string, bad: boolean, undo: boolean}} */
  note: null,
  chooser: false,
  /** Of a pattern that is a swirl: what the photo shows, see bench/swirl.js. @type {{photo: string, answer: ?Object, error: string}} */
  swirl: NO_SWIRL,
  /** A bait turned in the light, see bench/turn.js. @type {{photos: string[], busy: boolean, answer: ?Object, error: string}} */
  turn: NO_TURN,
  /** Of the views beside the bench. */
  history: {},
  drift: {pattern: 0, data: null, error: ''},
  batch: null,
  fit: {report: null, error: ''},
  /** As /api/settings and /api/history have them; null: not asked yet. */
  settings: null,
  entries: null,
};

/** @type {Array<() => void>} */
const listeners = [];
let told = true;

function tell() {
  told = true;
  for (const listener of listeners) listener();
}

/** Changes the state and, once the present turn is over, tells all who listen. @param {Partial<typeof state>} part */
export function change(part) {
  Object.assign(state, part);
  if (!told) return;
  told = false;
  queueMicrotask(tell);
}

/** @param {() => void} listener */
export function listen(listener) {
  listeners.push(listener);
}

export const units = () => state.boot?.units ?? 'us';
export const pattern = () => state.boot?.patterns.find((p) => p.id === state.work?.pattern) ?? null;
/** Whether the pattern's layers are the colors of a swirl. */
export const swirled = () => Boolean(pattern()?.swirl);
export const layerOf = (name) => pattern()?.layers.find((l) => l.name === name) ?? null;
export const cupOf = (name) => state.work?.cups.find((c) => c.layer === name) ?? null;

/** How the plastic is looked at, without how the bait is drawn. */
export function slabNow() {
  const {thickness_mm, over} = state.work.slab;
  return {thickness_mm, over};
}

/** A message for everyone, screen readers too. */
export function tellNote(text, {bad = false, undo = false} = {}) {
  change({note: {text, bad, undo}});
}

/** Runs `run` each time the server answers again after it could not be reached. @param {() => void} run */
export function whenBack(run) {
  let was = false;
  listen(() => {
    const back = was && !state.away;
    was = state.away;
    if (back) run();
  });
}
