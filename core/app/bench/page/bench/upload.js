/** A photo on its way to the server. */
import {ApiError, ask} from '../lib/api.js';

const TYPES = ['image/jpeg', 'image/png', 'image/heic', 'image/heif'];
const LARGEST = 64 * 1024 * 1024;

/** Not every system knows a HEIC file's type. */
const typeOf = (file) => file.type || (/\.hei[cf]$/i.test(file.name) ? 'image/heic' : '');

/** Why a file is not even sent; "" for one that may be. @param {File} file */
export function refusal(file) {
  if (!TYPES.includes(typeOf(file)))
    return `${file.name || 'This file'} is no JPEG, PNG or HEIC photo. Choose another, or let the phone save as JPEG.`;
  if (file.size > LARGEST)
    return `${file.name} has ${Math.round(file.size / 1e6)} MB; the bench takes photos up to 64 MB.`;
  return '';
}

/** Sends a photo. Answers what the server says of it, or null with the reason in `photoError`. @param {File} file */
export async function sendPhoto(file) {
  const why = refusal(file);
  if (why) throw new ApiError(415, why);
  return ask('POST', '/api/photos', {file});
}

