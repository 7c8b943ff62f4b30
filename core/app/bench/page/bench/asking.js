/** A question that is asked anew whenever what it goes by is another; of several under way only the newest counts. */
import {ApiError} from '../lib/api.js';
import {settled} from '../lib/newest.js';
import {whenBack} from './state.js';

/**
 * @param {number} ms that things must rest before
 * @param {(signal: AbortSignal) => Promise<void>} run
 * @param {(error: ApiError) => void} failed
 * @returns {(key: string) => void} asks where the key is another than the last one
 */
export function asking(ms, run, failed) {
  let asked = '';
  let running = null;
  const start = settled(ms, async () => {
    running?.abort();
    running = new AbortController();
    try {
      await run(running.signal);
    } catch (error) {
      if (error.name === 'AbortError') return;
      if (!(error instanceof ApiError)) throw error;
      failed(error);
    }
  });
  whenBack(() => (asked = ''));
  return (key) => {
    if (key === asked) return;
    asked = key;
    start();
  };
}
