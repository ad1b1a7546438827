// Which hand each part of a drawing belongs to: its staves, and the slurs and signs beside them.

/** What stands between the staves for both of them. */
const SHARED = new Set(["dynam", "hairpin", "barLine", "tempo", "ending", "pedal", "to-come"]);

/** @typedef {"left" | "right"} Hand */

/**
 * Writes the hand to each staff, slur and sign of a drawing that is on the page.
 * @param {import("./engraving.js").Engraving} engraving
 * @param {Hand[]} hands the hand of each staff, from the top
 */
export function writeHands(engraving, hands) {
  for (const bar of engraving.bars) {
    const staves = /** @type {SVGGElement[]} */ ([...bar.group.querySelectorAll(":scope > g.staff")]);
    const middles = staves.map((staff) => middleOf(staff));
    staves.forEach((staff, index) => (staff.dataset.hand = hands[index] ?? "right"));
    for (const sign of bar.group.children) {
      if (!(sign instanceof SVGGraphicsElement) || sign === bar.ground || staves.includes(/** @type {any} */ (sign))) continue;
      if (SHARED.has(sign.getAttribute("class") ?? "")) continue;
      const nearest = nearestOf(middles, middleOf(sign));
      sign.dataset.hand = hands[nearest] ?? "right";
    }
  }
}

/** The hand of a drawn note. @param {Element} note @returns {Hand} */
export function handOf(note) {
  const holder = note.closest("[data-hand]");
  return holder instanceof SVGElement && holder.dataset.hand === "left" ? "left" : "right";
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
