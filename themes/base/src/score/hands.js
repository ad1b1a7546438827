// Which hand each part of a drawing belongs to: its staves, and the slurs and signs beside them.

import { staffLines } from "./engraving.js";

/** What stands between the staves for both of them. */
const SHARED = new Set(["dynam", "hairpin", "barLine", "tempo", "ending", "pedal", "to-come"]);

/** A fingering, which is a hand's own, while other words may be for both. */
export const FINGERING = '[text-anchor="middle"][font-weight="bold"]';

/** @typedef {"left" | "right"} Hand */

/**
 * Writes the hand to each staff, slur and sign of a drawing that is on the page.
 * @param {import("./engraving.js").Engraving} engraving
 * @param {Hand[]} hands the hand of each staff, from the top
 */
export function writeHands(engraving, hands) {
  for (const bar of engraving.bars) {
    for (const text of bar.group.querySelectorAll(":scope > text[x*=' ']")) text.replaceWith(...singly(text));
    const staves = /** @type {SVGGElement[]} */ ([...bar.group.querySelectorAll(":scope > g.staff")]);
    const middles = staves.map((staff) => middleOf(staff));
    staves.forEach((staff, index) => (staff.dataset.hand = hands[index] ?? "right"));
    for (const sign of bar.group.children) {
      if (!(sign instanceof SVGGraphicsElement) || sign === bar.ground || staves.includes(/** @type {any} */ (sign))) continue;
      if (SHARED.has(sign.getAttribute("class") ?? "")) continue;
      const middle = middleOf(sign);
      if (sign.matches(`text:not(${FINGERING})`) && isBetween(staves, middle)) continue;
      const nearest = nearestOf(middles, middle);
      sign.dataset.hand = hands[nearest] ?? "right";
    }
    writeFingerings(bar.group, staves);
  }
  writeOver(engraving, hands);
}

/** The hands of curves that come from the system before, and stand beside the bars. @param {import("./engraving.js").Engraving} engraving @param {Hand[]} hands */
function writeOver({ bars }, hands) {
  const staves = [...(bars[0]?.group.querySelectorAll(":scope > g.staff") ?? [])];
  const middles = staves.map((staff) => middleOf(/** @type {SVGGElement} */ (staff)));
  for (const curve of bars[0]?.group.parentElement?.querySelectorAll(":scope > path[d*='c' i]") ?? []) {
    const path = /** @type {SVGPathElement} */ (curve);
    path.dataset.hand = hands[nearestOf(middles, middleOf(path))] ?? "right";
  }
}

/** Fingerings that are written as one text, each as its own: they may be of both hands. @param {Element} text */
function singly(text) {
  const [across, down] = ["x", "y"].map((name) => (text.getAttribute(name) ?? "").split(" "));
  return [...(text.textContent ?? "")].map((figure, index) => {
    const one = /** @type {Element} */ (text.cloneNode());
    one.setAttribute("x", across[index] ?? across[0]);
    one.setAttribute("y", down[index] ?? down[0]);
    one.textContent = figure;
    return one;
  });
}

/** The hand of a drawn note. @param {Element} note @returns {Hand} */
export function handOf(note) {
  const holder = note.closest("[data-hand]");
  return holder instanceof SVGElement && holder.dataset.hand === "left" ? "left" : "right";
}

/** How far a fingering stands from the middle of its notehead, across, in the units of a drawing. */
const ASIDE = 200;
const HALF_HEAD = 113;

/**
 * Gives each fingering of a bar the hand of the note that it stands over or under, or of the fingering next to it there.
 * @param {SVGGElement} bar @param {SVGGElement[]} staves
 */
function writeFingerings(bar, staves) {
  const place = (/** @type {Element} */ each) => ["x", "y"].map((name) => Number(each.getAttribute(name) ?? 0));
  const found = staves.flatMap((staff) => {
    return [...staff.querySelectorAll(".notehead")].map(place).map(([x, y]) => ({ x: x + HALF_HEAD, y, hand: staff.dataset.hand }));
  });
  const waiting = new Set(/** @type {NodeListOf<SVGElement>} */ (bar.querySelectorAll(`:scope > text${FINGERING}`)));
  while (waiting.size) {
    const near = [...waiting].flatMap((sign) => {
      const [x, y] = place(sign);
      const column = found.filter((each) => Math.abs(each.x - x) < ASIDE);
      return column.map(({ hand, y: other }) => ({ sign, x, y, hand, distance: Math.abs(y - other) }));
    });
    if (!near.length) return;
    const { sign, x, y, hand } = near.reduce((best, each) => (each.distance < best.distance ? each : best));
    sign.dataset.hand = hand;
    found.push({ x, y, hand });
    waiting.delete(sign);
  }
}

/** Whether a height lies between the lines of two staves. @param {SVGGElement[]} staves @param {number} middle */
function isBetween(staves, middle) {
  const tops = staves.map((staff) => staff.querySelector(":scope > path")).flatMap((lines) => (lines ? staffLines(lines) : []));
  const below = tops.filter((line) => line.y > middle).length;
  return below > 0 && below < tops.length && !staves.some((staff) => holds(staff, middle));
}

/** @param {SVGGElement} staff @param {number} middle */
function holds(staff, middle) {
  const lines = staffLines(/** @type {Element} */ (staff.querySelector(":scope > path")));
  return lines[0]?.y <= middle && middle <= lines[lines.length - 1].y;
}

/** @param {SVGGraphicsElement} part */
function middleOf(part) {
  const { y, height } = part.getBBox();
  return y + height / 2;
}

/** @param {number[]} middles @param {number} middle */
function nearestOf(middles, middle) {
  let best = 0;
  middles.forEach((each, index) => {
    if (Math.abs(each - middle) < Math.abs(middles[best] - middle)) best = index;
  });
  return best;
}
