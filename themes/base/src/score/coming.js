// Notes that the next stage adds, as faint heads at their places on the drawn staves.

import { drawn } from "../common/dom.js";
import { headPlace, staffLines } from "./engraving.js";

/** The staff step of the clefs' lines above C0, by the glyph that draws them (SMuFL, "Clefs"). */
const CLEF_STEPS = /** @type {Record<string, number>} */ ({
  E050: 32, E051: 18, E052: 25, E053: 39, E054: 46,
  E05C: 28, E05D: 21,
  E062: 24, E063: 10, E064: 17, E065: 31, E066: 38,
});
const LETTERS = "CDEFGAB";

/**
 * @param {object} wish
 * @param {import("./engraving.js").Engraving} wish.engraving
 * @param {import("./data.js").StageNote[]} wish.notes of the drawn stage
 * @param {import("./data.js").StageNote[]} wish.coming of the next one
 */
export function drawComing({ engraving, notes, coming }) {
  const here = new Set(notes.map((note) => `${note.bar} ${note.onset} ${note.midi}`));
  const clefs = [new Map(), new Map()];
  for (const bar of engraving.bars) {
    const group = drawn("g", { class: "to-come" });
    const columns = columnsOf(engraving, notes, bar);
    const staves = [...bar.group.querySelectorAll(":scope > g.staff")];
    staves.forEach((staff, index) => readClefs(staff, index, clefs));
    const added = coming.filter((note) => note.bar === bar.index && !here.has(`${note.bar} ${note.onset} ${note.midi}`));
    for (const note of added) {
      const index = note.hand === "right" ? 0 : Math.min(1, staves.length - 1);
      const x = columns(note.onset);
      const y = heightOf(note.pitch, staves[index], clefs[index]);
      if (y === null) continue;
      group.append(drawn("ellipse", { "data-hand": note.hand, rx: 112, ry: 76, fill: "currentColor", transform: `translate(${x + 110} ${y}) rotate(-22)` }));
    }
    bar.group.append(group);
  }
}

/** @param {Element} staff @param {number} index @param {Map<string, number>[]} clefs */
function readClefs(staff, index, clefs) {
  for (const use of staff.querySelectorAll("use")) {
    const step = CLEF_STEPS[use.getAttribute("data-glyph") ?? ""];
    const y = use.getAttribute("y");
    const top = topLine(staff);
    if (step === undefined || y === null || top === null || !clefs[index]) continue;
    clefs[index].set("step", step);
    clefs[index].set("below", Number(y) - top.y);
  }
}

/** @param {Element} staff */
function topLine(staff) {
  const lines = [...staff.querySelectorAll(":scope > path")].flatMap(staffLines);
  return lines.length > 1 ? { y: lines[0].y, space: (lines[lines.length - 1].y - lines[0].y) / (lines.length - 1) } : null;
}

/** @param {string} pitch @param {Element | undefined} staff @param {Map<string, number>} clef */
function heightOf(pitch, staff, clef) {
  const match = pitch.match(/^([A-G])[#bx]*(-?\d+)$/);
  const top = staff && topLine(staff);
  const step = clef.get("step");
  if (!match || !top || step === undefined) return null;
  const written = 7 * Number(match[2]) + LETTERS.indexOf(match[1]);
  return top.y + (clef.get("below") ?? 0) - ((written - step) * top.space) / 2;
}

/**
 * Where an onset stands in a bar: at the drawn notes, and evenly between them.
 * @param {import("./engraving.js").Engraving} engraving
 * @param {import("./data.js").StageNote[]} notes
 * @param {import("./engraving.js").BarPlace} bar
 */
function columnsOf(engraving, notes, bar) {
  /** @type {[number, number][]} */
  const stops = [];
  let end = 1;
  for (const note of notes) {
    if (note.bar !== bar.index) continue;
    end = Math.max(end, note.onset + note.duration);
    const group = engraving.notes.get(note.id);
    const head = group && headPlace(group);
    if (head && !stops.some(([at]) => at === note.onset)) stops.push([note.onset, head.x]);
  }
  stops.sort(([a], [b]) => a - b);
  if (!stops.length || stops[0][0] > 0) stops.unshift([0, bar.left + 300]);
  stops.push([end, bar.right]);
  return (/** @type {number} */ onset) => {
    const after = stops.findIndex(([at]) => at > onset);
    if (after < 0) return bar.right - 300;
    const [from, left] = stops[after - 1];
    const [to, right] = stops[after];
    return left + ((onset - from) / (to - from || 1)) * (right - left);
  };
}
