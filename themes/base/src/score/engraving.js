// An engraved system as live SVG: cut from its sheet, its bars and notes found.

import { drawn } from "../common/dom.js";
import { cutSystem, FINE } from "./sheet.js";

/**
 * Lengths are in the units of the engraving (its viewBox), `unit` of them to one pixel of its size.
 * @typedef {{index: number, group: SVGGElement, ground: SVGRectElement, left: number, right: number, top: number, bottom: number}} BarPlace
 * @typedef {{svg: SVGSVGElement, bars: BarPlace[], notes: Map<string, SVGGElement>, heads: Map<string, SVGGElement[]>, unit: number}} Engraving
 * `notes` are the notes by their own id; `heads` all noteheads of a sounding note, by the id of its first.
 */

/**
 * @param {Element} sheet the sheet that holds the system
 * @param {import("./data.js").SystemPlace} place
 * @returns {Engraving}
 */
export function readEngraving(sheet, place) {
  const svg = cutSystem(sheet, place);
  svg.setAttribute("class", "engraving");
  svg.setAttribute("role", "presentation");

  /** @type {BarPlace[]} */
  const bars = [];
  for (const group of svg.querySelectorAll("g.measure")) {
    const bar = barPlace(/** @type {SVGGElement} */ (group), place.first + bars.length);
    if (bar) bars.push(bar);
  }
  /** @type {Map<string, SVGGElement>} */
  const notes = new Map();
  /** @type {Map<string, SVGGElement[]>} */
  const heads = new Map();
  for (const named of svg.querySelectorAll("g.staff [id]")) {
    const id = named.id;
    const note = noteOf(named);
    notes.set(id, note);
    note.dataset.note = id;
    // A tied note goes on under its own id with ".2", ".3" ...; a score may have notes with such ids of their own
    for (const first of new Set([id, id.replace(/\.\d+$/, "")])) heads.set(first, [...(heads.get(first) ?? []), note]);
  }
  return { svg, bars, notes, heads, unit: FINE };
}

/**
 * The group of a note, its head marked. Two layouts, or a stage beside the score, hold the same notes; an id may stand
 * in a page only once, so it is taken off.
 * @param {Element} named the group of a note, or its head where it is no more than that
 */
function noteOf(named) {
  const alone = named.localName === "use";
  const note = alone ? drawn("g") : /** @type {SVGGElement} */ (named);
  if (alone) {
    named.replaceWith(note);
    note.append(named);
  }
  named.removeAttribute("id");
  note.setAttribute("class", "note");
  note.querySelector("use")?.setAttribute("class", "notehead");
  return note;
}

/** How far the staves of a bar reach, also in a sheet that is not drawn; nothing where it has none. @param {Element} group */
export function barBounds(group) {
  const lines = [...group.querySelectorAll(":scope > g.staff > path")].flatMap((path) => staffLines(path));
  if (!lines.length) return null;
  return {
    left: Math.min(...lines.map((line) => line.left)),
    right: Math.max(...lines.map((line) => line.right)),
    top: Math.min(...lines.map((line) => line.y)),
    bottom: Math.max(...lines.map((line) => line.y)),
  };
}

/** @param {SVGGElement} group @param {number} index @returns {BarPlace | null} */
function barPlace(group, index) {
  const bounds = barBounds(group);
  if (!bounds) return null;
  const { left, right, top, bottom } = bounds;
  const ground = drawn("rect", { class: "bar-ground", x: left, y: top - 360, width: right - left, height: bottom - top + 720 });
  group.prepend(ground);
  return { index: Number(group.dataset.bar ?? index), group, ground, left, right, top, bottom };
}

/** @param {Element} path the lines of a staff from the top, "M0 450H1200M0 630H1200" */
export function staffLines(path) {
  const lines = (path.getAttribute("d") ?? "").matchAll(/M(-?[\d.]+) (-?[\d.]+)H(-?[\d.]+)/g);
  return [...lines].map(([, left, y, right]) => ({ left: Number(left), right: Number(right), y: Number(y) }));
}

/**
 * Where a notehead stands.
 * @param {SVGGElement} note
 * @returns {{x: number, y: number} | null}
 */
export function headPlace(note) {
  const head = note.querySelector(".notehead");
  if (!head) return null;
  return { x: Number(head.getAttribute("x") ?? 0), y: Number(head.getAttribute("y") ?? 0) };
}
