// A sheet of engraved systems: parsed once, its glyphs laid in the page's one set; systems are cut out of it.

import { shareGlyphs } from "./glyphs.js";
import { unfold } from "./unfold.js";

/** Tenths of a pixel that drawings count in. */
export const FINE = 10;

/**
 * The sheet as an element outside the page.
 * @param {string} text the SVG file
 * @returns {Element}
 */
export function readSheet(text) {
  const sheet = new DOMParser().parseFromString(shareGlyphs(unfold(text)), "image/svg+xml").documentElement;
  for (const unwanted of sheet.querySelectorAll("style, script, desc, foreignObject")) unwanted.remove();
  return sheet;
}

/**
 * One system of a sheet as a drawing of its own, to be laid in the page.
 * @param {Element} sheet
 * @param {import("./data.js").SystemPlace} place
 */
export function cutSystem(sheet, { index, y, width, height }) {
  const svg = /** @type {SVGSVGElement} */ (document.importNode(sheet, false));
  const group = document.importNode(sheet.querySelectorAll(":scope > g")[index], true);
  const [left, top] = (group.getAttribute("transform") ?? "").match(/-?[\d.]+/g)?.map(Number) ?? [0, 0];
  group.setAttribute("class", "page-margin");
  group.setAttribute("transform", `translate(${left} ${Math.round(top - FINE * y)})`);
  svg.setAttribute("viewBox", `0 0 ${FINE * width} ${Math.round(FINE * height)}`);
  svg.append(group);
  return svg;
}

/** The address of a part of a sheet as a picture. @param {string} url @param {import("./data.js").SystemPlace} place */
export function viewOf(url, { y, width, height }) {
  return `${url}#svgView(viewBox(${[0, y, width, height].map((side) => Math.round(FINE * side)).join()}))`;
}
