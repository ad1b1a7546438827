// A note value drawn as the note: it stands before a tempo.

import { drawn } from "./common/dom.js";

/** Note values in quarters, from the longest, with the number of their flags. */
const VALUES = /** @type {const} */ ([[4, 0], [2, 0], [1, 0], [1 / 2, 1], [1 / 4, 2], [1 / 8, 3]]);

/**
 * @param {number} quarters how long the note is; with its dot, where it is half as long again as a plain one
 * @param {string} words what it is called
 */
export function drawNote(quarters, words) {
  const [value, flags] = VALUES.find(([plain]) => plain <= quarters + 1e-6) ?? VALUES[VALUES.length - 1];
  const note = drawn("svg", { class: "note-value", viewBox: "0 0 15 20", role: "img", "aria-label": words });
  const head = drawn("ellipse", { cx: 4.6, cy: 16.4, rx: 3.6, ry: 2.6, transform: "rotate(-24 4.6 16.4)" });
  if (value >= 2) head.setAttribute("class", "hollow");
  note.append(head);
  if (value < 4) note.append(drawn("path", { d: "M7.9 15.4V1.5" }));
  for (let flag = 0; flag < flags; flag += 1) note.append(drawn("path", { d: `M7.9 ${1.5 + 3.4 * flag}c.6 3 4 3.4 3.4 7` }));
  if (quarters > value + 1e-6) note.append(drawn("circle", { cx: 12, cy: 16, r: 1.3 }));
  return note;
}
