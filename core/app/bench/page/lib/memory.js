/** Small things this device remembers by itself. A browser that allows no storage only forgets. */

/** @param {string} name @param {*} [otherwise] */
export function recall(name, otherwise = null) {
  try {
    const text = localStorage.getItem(`dropwise.${name}`);
    return text === null ? otherwise : JSON.parse(text);
  } catch {
    return otherwise;
  }
}

/** @param {string} name @param {*} value null forgets it */
export function remember(name, value) {
  try {
    if (value === null) localStorage.removeItem(`dropwise.${name}`);
    else localStorage.setItem(`dropwise.${name}`, JSON.stringify(value));
  } catch {
    // Nothing depends on it.
  }
}
