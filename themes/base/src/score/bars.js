// The bar that is played or chosen, marked on the drawing, and over the music of a loop one bracket.

import { drawn } from "../common/dom.js";

/** How far above the drawing of a system the bracket lies, and how far its ends reach down, in tenths of a pixel. */
const ABOVE = 45;
const HOOK = 110;
/** So far within its bars an end stands, that two brackets beside each other would not touch. */
const WITHIN = 40;

/** @typedef {{first: number, last: number}} Loop bars, both included */

/** @param {import("./systems.js").Systems} systems */
export function createBars(systems) {
  /** @type {{bar: number, loop: Loop | null}} */
  let shown = { bar: 0, loop: null };

  /** @param {import("./systems.js").System} system */
  function draw(system) {
    for (const place of system.engraving?.bars ?? []) {
      place.ground.classList.toggle("here", place.index === shown.bar);
    }
    system.engraving?.svg.querySelector(".loop-bracket")?.remove();
    if (system.engraving && shown.loop) drawBracket(system.engraving, shown.loop);
  }

  return {
    draw,
    /** @param {{bar: number, loop: Loop | null}} next */
    mark(next) {
      if (next.bar === shown.bar && next.loop === shown.loop) return;
      shown = { bar: next.bar, loop: next.loop };
      for (const system of systems.all()) draw(system);
    },
  };
}

/**
 * Over the bars of the loop that a system holds; an end reaches down only where the loop begins or ends, so that over
 * several systems it is still one bracket.
 * @param {import("./engraving.js").Engraving} engraving @param {Loop} loop
 */
function drawBracket({ svg, bars }, loop) {
  const inside = bars.filter(({ index }) => loop.first <= index && index <= loop.last);
  if (!inside.length) return;
  const margin = inside[0].group.closest(".page-margin");
  const down = Number(margin?.getAttribute("transform")?.match(/-?[\d.]+/g)?.[1] ?? 0);
  const y = -down - ABOVE;
  const begins = inside.some(({ index }) => index === loop.first);
  const ends = inside.some(({ index }) => index === loop.last);
  const left = Math.min(...inside.map((bar) => bar.left)) + (begins ? WITHIN : 0);
  const right = Math.max(...inside.map((bar) => bar.right)) - (ends ? WITHIN : 0);
  const path = `M${left} ${begins ? `${y + HOOK}V${y}` : y}H${right}${ends ? `V${y + HOOK}` : ""}`;
  (margin ?? svg).append(drawn("path", { class: "loop-bracket", d: path }));
}
