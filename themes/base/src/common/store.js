// A value with listeners: how the parts of a page hear of each other without knowing each other.

/**
 * @template {object} T
 * @typedef {object} Store
 * @property {() => T} get the present value
 * @property {(change: Partial<T>) => void} set changes some of it; listeners hear only of real changes
 * @property {(listener: (value: T, before: T) => void) => void} on
 */

/**
 * @template {object} T
 * @param {T} initial
 * @returns {Store<T>}
 */
export function createStore(initial) {
  let value = initial;
  /** @type {((value: T, before: T) => void)[]} */
  const listeners = [];
  return {
    get: () => value,
    set(change) {
      const before = value;
      const next = { ...value, ...change };
      const keys = /** @type {(keyof T)[]} */ (Object.keys(change));
      if (keys.every((key) => Object.is(before[key], next[key]))) return;
      value = next;
      for (const listener of listeners) listener(value, before);
    },
    on(listener) {
      listeners.push(listener);
    },
  };
}
