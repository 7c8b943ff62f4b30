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

const AWAY = 'The bench does not answer. Is the program still running? Nothing is lost; trying again.';

/** @type {(away: boolean) => void} */
let onReach = () => {};
/** Told whether the server could be reached, after every request. @param {(away: boolean) => void} told */
export function watchReach(told) {
  onReach = told;
}

async function readBody(answer) {
  if (answer.status === 204) return null;
  const type = answer.headers.get('Content-Type') ?? '';
  return type.includes('json') ? answer.json() : answer.text();
}

/**
 * @param {string} method
 * @param {string} path
 * @param {{json?: *, file?: Blob, signal?: AbortSignal}} [how]
 * @returns {Promise<*>} the JSON; null for "nothing new"
 */
export async function ask(method, path, {json, file, signal} = {}) {
  const headers = {};
  if (method !== 'GET') headers['X-Dropwise'] = '1';
  if (file) headers['Content-Type'] = file.type || 'image/heic'; // what else has no type is refused before
  else if (method !== 'GET') headers['Content-Type'] = 'application/json';
  const body = file ?? (method === 'GET' ? undefined : JSON.stringify(json ?? {}));
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
  onReach(false);
  if (answer.ok) return content;
  const text = content?.error ?? `The bench answered with ${answer.status}.`;
  throw new ApiError(answer.status, text, content);
}

export const get = (path, signal) => ask('GET', path, {signal});
export const post = (path, json, signal) => ask('POST', path, {json, signal});
export const patch = (path, json) => ask('PATCH', path, {json});
export const remove = (path) => ask('DELETE', path);
