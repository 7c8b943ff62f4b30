/** Requests to the server, and the one kind of error they end in. */

/** An answer that says no. `status` is 0 when nobody answered. */
export class ApiError extends Error {
  /** @param {number} status @param {string} message @param {*} body */
  constructor(status, message, body = null) {
    super(message);
    this.status = status;
    this.body = body;
  }
}

/** A status of our own: the person did not want it any more. */
const CANCELED = -1;

const AWAY = 'The bench does not answer. Is the program still running?';

/** @type {(away: boolean) => void} */
let onReach = () => {};
/** Told whether the server could be reached, after every request. @param {(away: boolean) => void} told */
export function watchReach(told) {
  onReach = told;
}

/** The content of an answer that says yes; one that says no is thrown. */
function answered(status, content) {
  onReach(false);
  if (status >= 200 && status < 300) return content;
  throw new ApiError(status, content?.error ?? `The bench answered with ${status}.`, content);
}

/**
 * A file of any size, with its progress. Not by fetch, which tells none.
 * @param {string} path @param {File} file
 * @param {{onShare: (share: number) => void, signal: AbortSignal}} how share: 0 to 1 of what was sent
 */
export function sendFile(path, file, {onShare, signal}) {
  const sending = new XMLHttpRequest();
  sending.open('POST', path);
  sending.responseType = 'json';
  sending.setRequestHeader('X-Dropwise', '1');
  sending.setRequestHeader('Content-Type', file.type || 'image/heic'); // what else has no type is refused before
  sending.upload.onprogress = (event) => event.lengthComputable && onShare(event.loaded / event.total);
  signal.addEventListener('abort', () => sending.abort());
  return new Promise((resolve, reject) => {
    sending.onload = () => resolve(sending.response);
    sending.onabort = () => reject(new ApiError(CANCELED, 'The photo was not sent: it was canceled.'));
    sending.onerror = () => {
      onReach(true);
      reject(new ApiError(0, AWAY));
    };
    sending.send(file);
  }).then((content) => answered(sending.status, content));
}

async function readBody(answer) {
  if (answer.status === 204) return null;
  const type = answer.headers.get('Content-Type') ?? '';
  return type.includes('json') ? answer.json() : answer.text();
}

/**
 * @param {string} method
 * @param {string} path
 * @param {{json?: *, signal?: AbortSignal}} [how]
 * @returns {Promise<*>} the JSON; null for "nothing new"
 */
async function ask(method, path, {json, signal} = {}) {
  const headers = {};
  if (method !== 'GET') headers['X-Dropwise'] = '1';
  if (method !== 'GET') headers['Content-Type'] = 'application/json';
  const body = method === 'GET' ? undefined : JSON.stringify(json ?? {});
  let answer;
  let content;
  try {
    answer = await fetch(path, {
      method,
      headers,
      body,
      signal,
      cache: 'no-store',
      credentials: 'same-origin',
    });
    content = await readBody(answer);
  } catch (error) {
    if (error.name === 'AbortError') throw error;
    onReach(true);
    throw new ApiError(0, AWAY);
  }
  return answered(answer.status, content);
}

export const get = (path, signal) => ask('GET', path, {signal});
export const post = (path, json, signal) => ask('POST', path, {json, signal});
export const patch = (path, json) => ask('PATCH', path, {json});
export const remove = (path, json) => ask('DELETE', path, {json});
