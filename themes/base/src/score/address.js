// Places in the page's address, by printed bar numbers: `#bar-41` goes to a bar, `#bars-5-8` to a stretch.

/** @typedef {{first: number, last: number, stretch: boolean}} Asked */

/**
 * The bars (indices) that an address names; one that is not there leads to the nearest. The halves of a bar that a
 * repeat sign divides have one number and are meant together.
 * @param {string} hash
 * @param {import("./data.js").BarRow[]} bars
 * @returns {Asked | null} null for an address that names no bars
 */
export function barsAsked(hash, bars) {
  const asked = decoded(hash).match(/^#bars?-([^-–]+)(?:[-–]([^-–]+))?$/i);
  if (!asked || !bars.length) return null;
  const first = placesOf(asked[1], bars)[0];
  const last = placesOf(asked[2] ?? asked[1], bars).at(-1) ?? first;
  return { first, last: Math.max(first, last), stretch: asked[2] !== undefined };
}

/**
 * The indices of the bars of this name: by its number, by what the file calls a half, else the nearest.
 * @param {string} name
 * @param {import("./data.js").BarRow[]} bars
 */
function placesOf(name, bars) {
  const said = plain(name);
  const called = (/** @type {(bar: import("./data.js").BarRow) => string} */ of) =>
    bars.flatMap((bar, index) => (plain(of(bar)) === said ? [index] : []));
  for (const found of [called((bar) => bar.number), called((bar) => bar.own ?? "")]) {
    if (found.length) return found;
  }
  const wanted = figures(name);
  let nearest = 0;
  bars.forEach((bar, index) => {
    if (Math.abs(figures(bar.number) - wanted) < Math.abs(figures(bars[nearest].number) - wanted)) nearest = index;
  });
  return bars.flatMap((bar, index) => (bar.number === bars[nearest].number ? [index] : []));
}

/**
 * The address of a bar, or of a stretch of them; empty where a name cannot be written in one.
 * @param {import("./data.js").BarRow[]} bars @param {number} first @param {number} [last]
 */
export function barAddress(bars, first, last) {
  const names = (last === undefined ? [first] : [first, last]).map((index) => plain(bars[index].number));
  if (names.some((name) => /[-–]/.test(name))) return "";
  return `#${last === undefined ? "bar" : "bars"}-${names.map(encodeURIComponent).join("-")}`;
}

/** A bar's name as addresses have it: `1 (second)` is `1.second`. @param {string} name */
function plain(name) {
  return name.toLowerCase().replace(" (", ".").replace(/\)$/, "");
}

/** The number in a bar's name; the upbeat has none and is 0. @param {string} name */
function figures(name) {
  return Number(name.match(/\d+/)?.[0] ?? 0);
}

/** @param {string} text */
function decoded(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
