// The bar that is played or chosen, and the bars of a loop, marked on the drawing.

/** @param {import("./systems.js").Systems} systems */
export function createBars(systems) {
  /** @type {{bar: number, loop: {first: number, last: number} | null}} */
  let shown = { bar: 0, loop: null };

  /** @param {import("./systems.js").System} system */
  function draw(system) {
    for (const place of system.engraving?.bars ?? []) {
      place.ground.classList.toggle("here", place.index === shown.bar);
      const { loop } = shown;
      place.ground.classList.toggle("looped", loop !== null && loop.first <= place.index && place.index <= loop.last);
    }
  }

  return {
    draw,
    /** @param {{bar: number, loop: {first: number, last: number} | null}} next */
    mark(next) {
      if (next.bar === shown.bar && next.loop === shown.loop) return;
      shown = { bar: next.bar, loop: next.loop };
      for (const system of systems.all()) draw(system);
    },
  };
}
