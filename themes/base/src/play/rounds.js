// How a loop goes round: a bar of rest between two rounds, and the tempo raised by steps up to a goal. Pure.

/**
 * @typedef {object} Rounds
 * @property {boolean} pause whether a bar is left out between two rounds
 * @property {boolean} rise whether the tempo is raised
 * @property {number} from per cent of the piece's tempo at which it starts
 * @property {number} by per cent that each step adds
 * @property {number} every rounds at one tempo
 * @property {number} to per cent at which it stays
 */

/** A teacher's usual: slow enough to be safe, steps too small to be felt, each tempo heard more than once. @type {Rounds} */
export const USUAL_ROUNDS = { pause: false, rise: false, from: 60, by: 5, every: 2, to: 100 };

/** The tempo of the next round in per cent. @param {Rounds} rounds @param {number} percent of this one @param {number} done rounds so far */
export function nextTempo({ rise, by, every, to }, percent, done) {
  if (!rise || percent >= to || done % every) return percent;
  return Math.min(to, percent + by);
}

/** What was kept of an earlier visit; what is no such thing is as usual. @param {unknown} kept @returns {Rounds} */
export function readRounds(kept) {
  const told = /** @type {Record<string, unknown>} */ (kept && typeof kept === "object" ? kept : {});
  const known = Object.entries(USUAL_ROUNDS).map(([name, usual]) => {
    const value = told[name];
    const fits = typeof value === typeof usual && (typeof value !== "number" || (value >= 1 && value <= 120));
    return [name, fits ? value : usual];
  });
  return Object.fromEntries(known);
}
