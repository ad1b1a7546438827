// What a sheet says in short, written out: staff lines, signs of several glyphs, the names of its groups.

/** How far the lines of a staff lie apart, in the units of a drawing, and how many there are. */
const BETWEEN = 180;
const LINES = [0, 1, 2, 3, 4];

const STAFF = /<g><use href="#5" transform="matrix\((-?\d+) 0 0 1 (-?\d+) (-?\d+)\)"\/>/g;
const IN_PLACE = /<use href="#(0[0-9a-f]{8})" x="(-?\d+)" y="(-?\d+)"\/>/g;
const SEVERAL = /<g id="(0[0-9a-f]{8})">((?:<use [^>]*>)+)<\/g>/g;
const PART = /<use href="#([^"]+)" x="(-?\d+)" y="(-?\d+)"\/>/g;

/** @param {string} text the SVG file of a sheet */
export function unfold(text) {
  /** @type {Map<string, string>} */
  const several = new Map();
  return text
    .replace(SEVERAL, (_, name, parts) => {
      several.set(name, parts);
      return "";
    })
    .replace(IN_PLACE, (whole, name, x, y) => {
      return several.get(name)?.replace(PART, (_, glyph, dx, dy) => use(glyph, Number(x) + Number(dx), Number(y) + Number(dy))) ?? whole;
    })
    .replace(STAFF, (_, width, x, y) => {
      const right = Number(x) + Number(width);
      const lines = LINES.map((line) => `M${x} ${Number(y) + line * BETWEEN}H${right}`);
      return `<g class="staff"><path stroke-width="13" d="${lines.join("")}"/>`;
    })
    .replace(/<g data-bar=/g, '<g class="measure" data-bar=');
}

/** @param {string} glyph @param {number} x @param {number} y */
function use(glyph, x, y) {
  return `<use href="#${glyph}" x="${x}" y="${y}"/>`;
}
