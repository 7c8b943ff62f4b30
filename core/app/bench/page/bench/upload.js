/** A photo on its way to the server. */
import {ApiError, sendFile} from '../lib/api.js';
import {change} from './state.js';

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

/** Sends a photo; `state.upload` says how far it is, and can cancel it. @param {File} file @returns {Promise<*>} what the server says of it */
export async function sendPhoto(file) {
  const why = refusal(file);
  if (why) throw new ApiError(415, why);
  const canceling = new AbortController();
  const show = (share) => change({upload: {name: file.name, share, cancel: () => canceling.abort()}});
  show(0);
  try {
    return await sendFile('/api/photos', file, {onShare: show, signal: canceling.signal});
  } finally {
    change({upload: null});
  }
}

