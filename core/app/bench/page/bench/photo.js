/** Photos: chosen, dropped, taken or a sample; shown at once, then as the server has them. */
import {ApiError, get, post} from '../lib/api.js';
import {change, listen, state, tellNote} from './state.js';
import {layPhoto} from './work.js';
import {refusal, sendPhoto} from './upload.js';
import {findIn, marksFrom} from './find.js';
import {unmarked} from './marks.js';
import {parseShape, scaled, shapeText} from '../lib/shape.js';

const PREVIEW = 1600;
const previewUrl = (id) => `/api/photos/${id}/preview?side=${PREVIEW}`;

/** A photo as the page keeps it, of what the server says of it. @returns {import('./state.js').Photo} */
const photoOf = (id, info) => ({
  id,
  url: previewUrl(id),
  width: info.width,
  height: info.height,
  sharp: true,
  profile: info.profile,
  taken: info.taken,
  warnings: info.warnings ?? [],
});

/** Size and notes of a photo that the server has. @returns {Promise<import('./state.js').Photo>} */
export async function photoFromServer(id) {
  return photoOf(id, await get(`/api/photos/${id}`));
}

function shownAtOnce(file) {
  return new Promise((resolve) => {
    const url = URL.createObjectURL(file);
    const image = new Image();
    image.onload = () =>
      resolve({
        id: url,
        url,
        width: image.naturalWidth,
        height: image.naturalHeight,
        sharp: false,
        warnings: [],
      });
    image.onerror = () => {
      URL.revokeObjectURL(url);
      resolve(null);
    };
    image.src = url;
  });
}

/** Marks of another photo as a start for this one. */
function marksFor(marks, from, to) {
  if (!from || !to || !from.width) return marks;
  const [fx, fy] = [to.width / from.width, to.height / from.height];
  const shape = (text) => {
    const s = parseShape(text);
    return s ? shapeText(scaled(s, fx, fy)) : text;
  };
  const out = {layers: marks.layers.map((l) => ({...l, shape: shape(l.shape)}))};
  if (marks.card)
    out.card = {
      ...marks.card,
      corners: marks.card.corners.map((v, i) => Math.round(10 * v * (i % 2 ? fy : fx)) / 10),
    };
  if (marks.gray) out.gray = {...marks.gray, shape: shape(marks.gray.shape)};
  return out;
}

/** A photo for the work on the bench. @param {File} file */
export async function usePhoto(file) {
  const before = state.photo;
  const marks = state.marks;
  change({photoBusy: true, photoError: ''});
  const early = refusal(file) ? null : await shownAtOnce(file);
  if (early)
    change({photo: early, readings: {}, light: {key: '', grid: null, light: null, error: ''}, corners: []});
  try {
    const info = await sendPhoto(file);
    change({finding: 'Looking for the card and the baits.'});
    const found = await findIn(info);
    await putOnBench(info, await marksFrom(info, found, marksFor(marks, before, info)));
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    change({photo: before, photoBusy: false, finding: '', photoError: error.message});
  }
  if (early) setTimeout(() => URL.revokeObjectURL(early.url), 10000);
}

const SMALL = '(max-width: 760px), (max-height: 520px)';

/** What is missing is marked step by step, on a small screen with the photo filling it. */
async function putOnBench(info, marks) {
  const photo = photoOf(info.id, info);
  const laid = await layPhoto(info.id, marks);
  change({photoBusy: false, finding: ''});
  if (!laid) return;
  change({photo, doubts: null, corners: [], redraw: false, selected: null});
  const first = unmarked()[0] ?? null;
  const full = (first !== null || Boolean(marks.carried)) && matchMedia(SMALL).matches;
  change({selected: first, full, ...(full && {note: null})});
}

/** @param {string} name of a photo that is built in */
export async function useSample(name) {
  change({photoBusy: true, photoError: ''});
  try {
    const info = await post(`/api/samples/${name}`);
    const names = new Set(state.work.cups.map((cup) => cup.layer));
    await putOnBench(info, {...info.marks, layers: info.marks.layers.filter((l) => names.has(l.name))});
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    change({photoBusy: false, photoError: error.message});
  }
}

/** Keeps the photo shown the one that lies on the bench. */
export function followPhoto() {
  let asked = '';
  listen(async () => {
    const id = state.work?.photo ?? '';
    if (state.photoBusy || id === asked) return;
    asked = id;
    if (id === (state.photo?.id ?? '')) return;
    change({photo: null, readings: {}, light: {key: '', grid: null, light: null, error: ''}, corners: []});
    if (!id) return;
    try {
      const photo = await photoFromServer(id);
      if (state.work?.photo === id) change({photo, photoError: ''});
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      asked = '';
      tellNote(error.message, {bad: true});
    }
  });
}
