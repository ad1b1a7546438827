// The strip under a system: harmony names where they begin, and the tension of the harmony as a line.

import { drawn } from "../common/dom.js";
import { say } from "../common/words.js";
import { sayAt } from "../say.js";
import { quarters } from "./data.js";
import { placesAcross } from "./places.js";

const LINE = 30;
const ROW = 15;

/**
 * @param {object} wish
 * @param {import("./systems.js").System} wish.system
 * @param {import("./data.js").PieceData} wish.piece
 * @param {import("./data.js").StageNote[]} wish.notes
 * @param {"none" | "numeral" | "symbol"} wish.harmony
 * @param {boolean} wish.tension
 * @param {(text: string, how: {stays: boolean}) => void} wish.tell says the parts of a tension that is tapped
 * @returns {SVGSVGElement | null}
 */
export function drawStrip({ system, piece, notes, harmony, tension, tell }) {
  if (!system.engraving || (harmony === "none" && !tension)) return null;
  const { engraving } = system;
  const across = placesAcross(engraving, notes, piece.bars);
  const margin = marginOf(engraving.svg);
  // In pixels of the screen, so that names are as large on a phone as on a wide screen.
  const width = Math.round(system.box.clientWidth) || system.width;
  const scale = width / system.width / engraving.unit;
  /** @param {{bar: number, onset: string}} at */
  const x = (at) => {
    const place = across(at.bar, quarters(at.onset));
    return place === null ? null : (place + margin) * scale;
  };
  const named = piece.harmonies.some((each) => inside(each) && harmony !== "none" && each[harmony]);
  const drawnLine = tension && piece.tension.some(inside);
  if (!named && !drawnLine) return null;
  const end = Math.max(...engraving.bars.map((bar) => bar.right));
  const strip = drawn("svg", { class: "strip" });
  const rows = named && harmony !== "none" ? names(strip, piece.harmonies, system, harmony, x) : 0;
  const height = (rows ? ROW * rows + 4 : 0) + (drawnLine ? LINE : 0);
  strip.setAttribute("viewBox", `0 0 ${width} ${height}`);
  if (drawnLine) line(strip, piece, piece.tension.filter(inside), x, height, (end + margin) * scale, tell);
  return strip;

  /** @param {{bar: number}} at */
  function inside(at) {
    return system.first <= at.bar && at.bar <= system.last;
  }
}

/** The music is set in from the edge of the drawing. @param {SVGSVGElement} svg */
function marginOf(svg) {
  const move = svg.querySelector(".page-margin")?.getAttribute("transform")?.match(/translate\((-?[\d.]+)/);
  return move ? Number(move[1]) : 0;
}

/**
 * Writes the names, and under the numerals the key where it is a new one. Returns how many rows they take.
 * @param {SVGSVGElement} strip
 * @param {import("./data.js").HarmonyRow[]} harmonies of the piece
 * @param {{first: number, last: number}} system
 * @param {"numeral" | "symbol"} kind
 * @param {(at: {bar: number, onset: string}) => number | null} x
 */
function names(strip, harmonies, system, kind, x) {
  const free = [0, 0, 0];
  /** @type {[at: number, key: string][]} */
  const keys = [];
  let key = "";
  let rows = 1;
  for (const harmony of harmonies) {
    if (harmony.bar > system.last) break;
    if (harmony.bar < system.first) {
      key = harmony.key || key;
      continue;
    }
    const at = x(harmony);
    const name = signs(harmony[kind]);
    if (at === null || !name) continue;
    const width = 8.4 * name.length + 4;
    // Names that stand close go one lower.
    const row = at >= free[0] ? 0 : 1;
    strip.append(set(name, at, 13 + ROW * row, kind));
    rows = Math.max(rows, row + 1);
    free[row] = at + width;
    if (kind === "numeral" && harmony.key && harmony.key !== key && at >= free[2]) {
      keys.push([at, harmony.key]);
      free[2] = at + 6.2 * harmony.key.length + 4;
      key = harmony.key;
    }
  }
  for (const [at, name] of keys) {
    const told = drawn("text", { x: at, y: 12 + ROW * rows, class: "key" });
    told.textContent = name;
    strip.append(told);
  }
  return rows + (keys.length ? 1 : 0);
}

/**
 * A name as text; the figures of a numeral are set small, one above the other, as figured bass is: `V64-53` with 6–5
 * above 4–3.
 * @param {string} name @param {number} x @param {number} y @param {"numeral" | "symbol"} kind
 */
function set(name, x, y, kind) {
  const text = drawn("text", { x, y });
  const parts = kind === "numeral" ? name.match(/^(\D+)(\d)(\d?)(?:-(\d)(\d))?(.*)$/) : null;
  if (!parts) {
    text.textContent = name;
    return text;
  }
  const [, base, above, below, nextAbove, nextBelow, rest] = parts;
  const [upper, lower] = nextAbove ? [`${above}–${nextAbove}`, `${below}–${nextBelow}`] : [above, below];
  text.append(base, figure(upper, lower ? -6 : -4, 0));
  if (lower) text.append(figure(lower, 8, -FIGURE * upper.length));
  if (rest) {
    const tail = drawn("tspan", { dy: lower ? -2 : 4 });
    tail.textContent = rest;
    text.append(tail);
  }
  return text;
}

/** How wide a digit of a figure is, and the dash between two. */
const FIGURE = 5.2;

/** @param {string} digits @param {number} dy @param {number} dx */
function figure(digits, dy, dx) {
  const small = drawn("tspan", { class: "figure", dy, dx });
  small.textContent = digits;
  return small;
}

/**
 * @param {SVGSVGElement} strip
 * @param {import("./data.js").PieceData} piece
 * @param {import("./data.js").TensionRow[]} rows
 * @param {(at: {bar: number, onset: string}) => number | null} x
 * @param {number} height @param {number} end where the last bar ends
 * @param {(text: string, how: {stays: boolean}) => void} tell
 */
function line(strip, piece, rows, x, height, end, tell) {
  const top = height - LINE + 5;
  /** @type {[number, number, import("./data.js").TensionRow][]} */
  const points = [];
  for (const row of rows) {
    const at = x(row);
    if (at !== null) points.push([at, top + (1 - row.value) * (LINE - 10), row]);
  }
  if (!points.length) return;
  const path = points.map(([px, py], index) => `${index ? "L" : "M"}${px.toFixed(1)} ${py.toFixed(1)}`).join("");
  const tail = `L${end} ${points[points.length - 1][1].toFixed(1)}`;
  strip.append(
    drawn("path", { class: "tension-area", d: `${path}${tail}L${end} ${height}L${points[0][0].toFixed(1)} ${height}Z` }),
    drawn("path", { class: "tension-line", d: path + tail }),
  );
  for (const [px, py, row] of points) {
    const touch = drawn("circle", { class: "tension-touch", cx: px, cy: py, r: 16 });
    strip.append(drawn("circle", { class: "tension-dot", cx: px, cy: py, r: 2.6 }), touch);
    touch.addEventListener("click", () => tell(tensionInWords(piece, row), { stays: true }));
  }
}

/** Typed signs as printed ones. @param {string} text */
export function signs(text) {
  return text.replaceAll("#", "♯").replace(/([A-G])b/g, "$1♭").replace(/^b|(?<=[/ ])b/g, "♭");
}

/** Of a part that is less than this share of the whole nothing is said. */
const HEARD = 0.1;

/** How great a tension is, and what makes it: the greatest part, then the others. @param {import("./data.js").PieceData} piece @param {import("./data.js").TensionRow} row */
export function tensionInWords(piece, row) {
  const level = say(`tension-${["low", "middle", "high"][Math.min(2, Math.floor(3 * row.value))]}`);
  const sum = row.parts.reduce((all, [, value]) => all + value, 0);
  const [most, ...others] = row.parts
    .filter(([, value]) => value > 0 && value >= HEARD * sum)
    .sort(([, a], [, b]) => b - a)
    .map(([name]) => name);
  return [
    sayAt("tension-at", piece.bars, row.bar, { level }) + (most ? "." : ""),
    ...(most ? [say("tension-most", { most })] : []),
    ...(others.length ? [say("tension-also", { others: others.join(", ") })] : []),
  ].join(" ");
}
