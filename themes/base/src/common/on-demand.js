// Parts of the page that few visits need: each comes when it is first asked for.

/**
 * `ask` has done what was asked when the part is there, in the order of asking; `begun` says whether anybody has asked.
 * What could not be fetched is fetched at the next asking.
 * @template T
 * @param {() => Promise<T>} fetched
 * @param {() => void} failed
 */
export function onDemand(fetched, failed) {
  /** @type {Promise<T> | null} */
  let part = null;
  return {
    begun: () => part !== null,
    /** @param {(part: T) => void} action */
    async ask(action) {
      part ??= fetched();
      const here = await part.catch(() => null);
      if (here) action(here);
      else {
        part = null;
        failed();
      }
    },
  };
}
