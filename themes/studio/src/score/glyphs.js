// One set of glyph definitions a page: each engraved system brings its own, under ids of its own.

import { drawn } from "../common/dom.js";

/** @type {SVGDefsElement | null} */
let shared = null;

/** The outlines already laid in the page, by what they draw. @type {Map<string, string>} */
const laid = new Map();

/**
 * Moves the glyphs that `svg` defines into the page's one set, and points its uses there.
 * @param {SVGSVGElement} svg not yet in the page
 */
export function shareGlyphs(svg) {
  /** @type {Map<string, string>} */
  const renamed = new Map();
  for (const glyph of svg.querySelectorAll("defs > [id]")) {
    const outline = glyph.innerHTML;
    let name = laid.get(outline);
    if (!name) {
      name = `glyph-${laid.size + 1}`;
      laid.set(outline, name);
      renamed.set(glyph.id, name);
      glyph.id = name;
      sharedSet().append(glyph);
    } else {
      renamed.set(glyph.id, name);
    }
  }
  for (const use of svg.querySelectorAll("use")) {
    const target = use.getAttribute("href") ?? use.getAttributeNS("http://www.w3.org/1999/xlink", "href") ?? "";
    const name = renamed.get(target.slice(1));
    if (!name) continue;
    use.removeAttributeNS("http://www.w3.org/1999/xlink", "href");
    use.setAttribute("href", `#${name}`);
    // Which sign it is stays readable: the clef tells where its line lies.
    use.setAttribute("data-glyph", target.slice(1, 5));
  }
  for (const defs of svg.querySelectorAll("defs")) if (!defs.childElementCount) defs.remove();
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
