/**
 * One request in flight; of those asked for meanwhile only the newest of each name is run, in the order they were
 * asked for. This is what lets a reading follow a finger without a queue of stale answers.
 */

/**
 * @template T
 * @param {(name: string, what: T) => Promise<void>} run must not throw
 * @returns {(name: string, what: T) => void}
 */
export function newest(run) {
  /** @type {Map<string, T>} */
  const waiting = new Map();
  let busy = false;
  async function drain() {
    busy = true;
    while (waiting.size > 0) {
      const [name, what] = waiting.entries().next().value;
      waiting.delete(name);
      await run(name, what);
    }
    busy = false;
  }
  return (name, what) => {
    waiting.set(name, what);
    if (!busy) drain();
  };
}

/**
 * Runs `run` once nothing was asked for `ms` milliseconds. `now()` of what it gives runs what is still waiting.
 * @param {number} ms
 * @param {() => *} run
 * @returns {{(): void, now: () => *}}
 */
export function settled(ms, run) {
  let timer = 0;
  const start = () => {
    timer = 0;
    return run();
  };
  const ask = () => {
    clearTimeout(timer);
    timer = setTimeout(start, ms);
  };
  ask.now = () => {
    if (!timer) return null;
    clearTimeout(timer);
    return start();
  };
  return ask;
}
