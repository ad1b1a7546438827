// An engraved system as live SVG: parsed, cleaned of what the page's policy refuses, its bars and notes found.

import { drawn } from "../common/dom.js";
import { shareGlyphs } from "./glyphs.js";

/**
 * Lengths are in the units of the engraving (its inner viewBox), `unit` of them to one pixel of its outer size.
 * @typedef {{index: number, group: SVGGElement, ground: SVGRectElement, left: number, right: number, top: number, bottom: number}} BarPlace
 * @typedef {{svg: SVGSVGElement, bars: BarPlace[], notes: Map<string, SVGGElement>, heads: Map<string, SVGGElement[]>, unit: number}} Engraving
 * `notes` are the notes by their own id; `heads` all noteheads of a sounding note, by the id of its first.
 */

/**
 * @param {string} text the SVG file
 * @param {number} firstBar the index of its first bar, for an engraving that does not number them
 * @returns {Engraving}
 */
export function readEngraving(text, firstBar) {
  const parsed = new DOMParser().parseFromString(shareGlyphs(text), "image/svg+xml");
  for (const unwanted of parsed.querySelectorAll("style, script, desc, foreignObject")) unwanted.remove();
  const svg = /** @type {SVGSVGElement} */ (/** @type {Element} */ (document.importNode(parsed.documentElement, true)));
  svg.setAttribute("class", "engraving");
  svg.setAttribute("role", "presentation");
  svg.removeAttribute("id");

  const outer = (svg.getAttribute("viewBox") ?? "0 0 1 1").split(/[\s,]+/).map(Number);
  const inner = svg.querySelector("svg");
  const scale = (inner?.getAttribute("viewBox") ?? outer.join(" ")).split(/[\s,]+/).map(Number);

  /** @type {BarPlace[]} */
  const bars = [];
  for (const group of svg.querySelectorAll("g.measure")) {
    const bar = barPlace(/** @type {SVGGElement} */ (group), firstBar + bars.length);
    if (bar) bars.push(bar);
  }
  /** @type {Map<string, SVGGElement>} */
  const notes = new Map();
  /** @type {Map<string, SVGGElement[]>} */
  const heads = new Map();
  for (const group of svg.querySelectorAll("g.note[id]")) {
    const note = /** @type {SVGGElement} */ (group);
    notes.set(note.id, note);
    note.dataset.note = note.id;
    // A tied note goes on under its own id with ".2", ".3" ...
    const first = note.id.replace(/\.\d+$/, "");
    heads.set(first, [...(heads.get(first) ?? []), note]);
  }
  // Two layouts, or a stage beside the score, hold the same notes; an id may stand in a page only once.
  for (const named of svg.querySelectorAll("[id]")) named.removeAttribute("id");
  return { svg, bars, notes, heads, unit: scale[2] / outer[2] };
}

/** @param {SVGGElement} group @param {number} index @returns {BarPlace | null} */
function barPlace(group, index) {
  const lines = [...group.querySelectorAll(":scope > g.staff > path")].map((path) => staffLine(path));
  if (!lines.length) return null;
  const left = Math.min(...lines.map((line) => line.left));
  const right = Math.max(...lines.map((line) => line.right));
  const top = Math.min(...lines.map((line) => line.y));
  const bottom = Math.max(...lines.map((line) => line.y));
  const ground = drawn("rect", { class: "bar-ground", x: left, y: top - 360, width: right - left, height: bottom - top + 720 });
  group.prepend(ground);
  return { index: Number(group.dataset.bar ?? index), group, ground, left, right, top, bottom };
}

/** @param {Element} path a straight path, "M0 720H1200" */
export function staffLine(path) {
  const [left, y, right] = (path.getAttribute("d") ?? "").match(/-?[\d.]+/g)?.map(Number) ?? [0, 0, 0];
  return { left, right, y };
}

/**
 * Where a notehead stands.
 * @param {SVGGElement} note
 * @returns {{x: number, y: number} | null}
 */
export function headPlace(note) {
  const head = note.querySelector(".notehead") ?? note.querySelector("use");
  if (!head) return null;
  return { x: Number(head.getAttribute("x") ?? 0), y: Number(head.getAttribute("y") ?? 0) };
}
