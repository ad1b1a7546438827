// Turns the page: keeps the system that is played, and the one after it, above the player.

/**
 * @param {() => readonly import("../score/systems.js").System[]} systems
 * @param {HTMLElement} player
 */
export function createFollow(systems, player) {
  /** @type {Element | null} */
  let current = null;
  return {
    /** @param {number} bar the bar that is played */
    follow(bar) {
      const all = systems();
      const index = all.findIndex((system) => system.first <= bar && bar <= system.last);
      if (index < 0 || all[index].box === current) return;
      current = all[index].box;
      const here = current.getBoundingClientRect();
      const ahead = (all[index + 1] ?? all[index]).box.getBoundingClientRect();
      const bottom = innerHeight - player.offsetHeight;
      if (here.top >= 0 && ahead.bottom <= bottom) return;
      const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
      scrollBy({ top: here.top - Math.min(24, bottom * 0.05), behavior: calm ? "instant" : "smooth" });
    },
    /** Looks again at the next bar, also in the same system. */
    reset() {
      current = null;
    },
  };
}
