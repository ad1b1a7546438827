// One set of glyph definitions a page: each engraved system brings its own, mostly the same.

import { drawn } from "../common/dom.js";

/** @type {SVGDefsElement | null} */
let shared = null;

/** The names of the glyphs already laid in the page, by their definitions. @type {Map<string, string>} */
const laid = new Map();

const DEFINITION = /<(?:path id="([^"]+)" ([^>]*)\/>|g id="([^"]+)">([^]*?)<\/g>)/g;

/**
 * Takes the glyph definitions out of an SVG file into the page's one set. Returns the file without them, its uses
 * pointing to the set. Which sign a use draws stays readable in `data-glyph`, as its place in the music font (SMuFL).
 * @param {string} text
 */
export function shareGlyphs(text) {
  /** @type {Map<string, string>} */
  const renamed = new Map();
  const without = text.replace(/<defs>([^]*?)<\/defs>/g, (_, definitions) => {
    for (const [, path, outline, group, inside] of definitions.matchAll(DEFINITION)) {
      renamed.set(path ?? group, nameOf(inside ?? `<path ${outline}/>`));
    }
    return "";
  });
  return without.replace(/href="#([^"]+)"/g, (reference, id) => {
    const name = renamed.get(id);
    return name ? `href="#${name}" data-glyph="${/^\d/.test(id) ? "E" : ""}${id.split("-")[0]}"` : reference;
  });
}

/** @param {string} outline */
function nameOf(outline) {
  const known = laid.get(outline);
  if (known) return known;
  const name = `glyph-${laid.size + 1}`;
  laid.set(outline, name);
  const parsed = new DOMParser().parseFromString(`<g xmlns="http://www.w3.org/2000/svg" id="${name}">${outline}</g>`, "image/svg+xml");
  sharedSet().append(document.importNode(parsed.documentElement, true));
  return name;
}

function sharedSet() {
  if (!shared) {
    const holder = drawn("svg", { width: 0, height: 0, "aria-hidden": "true", class: "unseen" });
    shared = drawn("defs");
    holder.append(shared);
    document.body.append(holder);
  }
  return shared;
}
