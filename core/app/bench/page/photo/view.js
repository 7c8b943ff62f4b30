/** Where the photo lies in its window: screen = photo * scale + (x, y). Pure numbers. */

/** @typedef {{scale: number, x: number, y: number}} View */
/** @typedef {{width: number, height: number}} Size */

const LARGEST = 8; // screen pixels a photo pixel

/** The scale at which the whole photo is seen. @param {Size} photo @param {Size} room */
export const fitScale = (photo, room) => Math.min(room.width / photo.width, room.height / photo.height);

/** @param {Size} photo @param {Size} room @returns {View} */
export function fitted(photo, room) {
  const scale = fitScale(photo, room);
  return {scale, x: (room.width - photo.width * scale) / 2, y: (room.height - photo.height * scale) / 2};
}

function held(at, photoLength, roomLength) {
  return photoLength <= roomLength
    ? (roomLength - photoLength) / 2
    : Math.min(0, Math.max(roomLength - photoLength, at));
}

/** Neither smaller than the window nor out of it. @returns {View} */
export function kept(view, photo, room) {
  const least = fitScale(photo, room);
  const scale = Math.min(Math.max(view.scale, least), Math.max(LARGEST, least));
  return {
    scale,
    x: held(view.x, photo.width * scale, room.width),
    y: held(view.y, photo.height * scale, room.height),
  };
}

/** Zoomed by a factor, the point under (sx, sy) staying where it is. @returns {View} */
export function zoomed(view, factor, [sx, sy], photo, room) {
  const least = fitScale(photo, room);
  const scale = Math.min(Math.max(view.scale * factor, least), Math.max(LARGEST, least));
  const f = scale / view.scale;
  return kept({scale, x: sx - (sx - view.x) * f, y: sy - (sy - view.y) * f}, photo, room);
}

/** @returns {[number, number]} */
export const toPhoto = (view, [sx, sy]) => [(sx - view.x) / view.scale, (sy - view.y) / view.scale];
/** @returns {[number, number]} */
export const toScreen = (view, [px, py]) => [px * view.scale + view.x, py * view.scale + view.y];

/** The part of the photo that is seen, whole pixels. */
export function seen(view, photo, room) {
  const [x0, y0] = toPhoto(view, [0, 0]).map((v) => Math.max(0, Math.floor(v)));
  const [x1, y1] = toPhoto(view, [room.width, room.height]);
  return {
    x: x0,
    y: y0,
    w: Math.min(photo.width, Math.ceil(x1)) - x0,
    h: Math.min(photo.height, Math.ceil(y1)) - y0,
  };
}
