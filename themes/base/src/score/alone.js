// A hand alone: the staff of the other is taken out of a drawing, which is cut to what is left. Bar lines end at the
// staff; what stands above the system for both hands (tempo, words, endings, numbers of bars) goes along with the left.

import { drawn } from "../common/dom.js";
import { staffLines } from "./engraving.js";
import { FINGERING } from "./hands.js";

/** Room above and below what is left, in the units of a drawing. */
const EDGE = 100;

/** The drawings that are cut, with their whole view. @type {WeakMap<SVGSVGElement, string>} */
const wholes = new WeakMap();
let clips = 0;

/**
 * Shows one hand of a drawing that is on the page, or both. What belongs to a hand has been written (`writeHands`), and
 * what belongs to the other is not displayed.
 * @param {import("./engraving.js").Engraving} engraving
 * @param {"both" | "left" | "right"} hands
 */
export function showHands({ svg, bars }, hands) {
  restore(svg);
  if (hands === "both" || !bars.length) return;
  const staves = bars.flatMap(({ group }) => [...group.querySelectorAll(`:scope > .staff[data-hand="${hands}"]`)]);
  const lines = staves.flatMap((staff) => [...staff.querySelectorAll(":scope > path")]).flatMap((path) => staffLines(path));
  const holder = bars[0].group.parentElement;
  if (!lines.length || !(holder instanceof SVGGElement)) return;
  const top = Math.min(...lines.map(({ y }) => y));
  const bottom = Math.max(...lines.map(({ y }) => y));

  const clip = drawn("clipPath", { id: `alone-${(clips += 1)}` });
  clip.append(drawn("rect", { x: 0, y: top - 7, width: 1e6, height: bottom - top + 14 }));
  svg.append(clip);
  for (const line of holder.querySelectorAll(".barLine")) line.setAttribute("clip-path", `url(#${clip.id})`);
  // brace and line before the staves
  for (const each of holder.querySelectorAll(":scope > use")) each.classList.add("of-both");

  const above = hands === "left" ? [holder, ...bars.map(({ group }) => group)].flatMap((group) => aboveAll(group, bars[0].top)) : [];
  const over = [...holder.querySelectorAll(`:scope > [data-hand="${hands}"]`)];
  const own = [...over, ...staves, ...bars.flatMap(({ group }) => signsOf(group, hands))].filter((each) => !above.includes(each));
  const heights = own.map(extent);
  let least = Math.min(top, ...heights.map(([from]) => from));
  const most = Math.max(bottom, ...heights.map(([, to]) => to));
  if (above.length) {
    const places = above.map(extent);
    const down = least - EDGE - Math.max(...places.map(([, to]) => to));
    for (const each of above) each.setAttribute("transform", `translate(0 ${down})`);
    least = Math.min(...places.map(([from]) => from)) + down;
  }
  const [left, whole, width, height] = (svg.getAttribute("viewBox") ?? "").split(" ").map(Number);
  const shift = holder.transform.baseVal.consolidate()?.matrix.f ?? 0;
  const from = hands === "right" ? Math.min(whole, least + shift - EDGE) : least + shift - EDGE;
  const to = hands === "left" ? Math.max(whole + height, most + shift + EDGE) : most + shift + EDGE;
  wholes.set(svg, svg.getAttribute("viewBox") ?? "");
  svg.setAttribute("viewBox", [left, from, width, to - from].map(Math.round).join(" "));
}

/** @param {SVGSVGElement} svg */
function restore(svg) {
  const whole = wholes.get(svg);
  if (whole === undefined) return;
  wholes.delete(svg);
  svg.setAttribute("viewBox", whole);
  for (const each of svg.querySelectorAll("[clip-path]")) each.removeAttribute("clip-path");
  for (const each of svg.querySelectorAll("clipPath[id^=alone]")) each.remove();
  for (const each of svg.querySelectorAll(".with-left")) each.removeAttribute("transform");
  for (const each of svg.querySelectorAll(".with-left, .of-both")) each.classList.remove("with-left", "of-both");
}

/** The signs of a bar that one hand shows: its own, and what stands between the staves. @param {SVGGElement} bar @param {string} hands */
function signsOf(bar, hands) {
  const both = ":scope > .dynam, :scope > .hairpin, :scope > text:not([data-hand])";
  return [...bar.querySelectorAll(`:scope > [data-hand="${hands}"]:not(.staff), ${both}`)];
}

/** Words and brackets of endings above the upper staff, in a bar or over the bars. @param {SVGGElement} group @param {number} top of that staff */
function aboveAll(group, top) {
  const straight = group.matches(".measure") ? "" : ", :scope > path:not([data-hand])";
  const found = [...group.querySelectorAll(`:scope > text:not(${FINGERING}), :scope > .tempo${straight}`)];
  const high = found.filter((each) => extent(each)[1] <= top);
  for (const each of high) each.classList.add("with-left");
  return high;
}

/** From where to where a part of a drawing goes. @param {Element} part @returns {[number, number]} */
function extent(part) {
  if (!(part instanceof SVGGraphicsElement)) return [Infinity, -Infinity];
  const { y, height, width } = part.getBBox();
  return width || height ? [y, y + height] : [Infinity, -Infinity];
}
