// The place: the bar that sounds while the music plays; else the bar that was chosen, while it is in view, and when it
// has been scrolled away the bar at the top of the music in view. It stands in the address.

import { barAddress } from "./score/address.js";
import { onScreen } from "./score/systems.js";

/** Milliseconds between two changes of the address: browsers refuse many at a time. */
const REST = 400;

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./score/systems.js").Systems} page.systems
 * @param {import("./play/player.js").Player} page.player
 */
export function createPlace({ piece, systems, player }) {
  /** The place when it was last looked for, and where its system stood, in pixels below the top of the screen. */
  let seen = { bar: 0, top: /** @type {number | null} */ (null) };
  let timer = 0;
  let frame = 0;

  /** Looks where the music stands now; while another layout is on its way what was seen before holds. */
  function look() {
    const { bar, playing } = player.state.get();
    const shown = systems.all().filter((system) => system.box.getClientRects().length);
    if (!shown.length) return;
    const chosen = shown.find((system) => system.first <= bar && bar <= system.last);
    if (chosen && (playing || isSeen(chosen.box))) seen = { bar, top: topOf(chosen) };
    else {
      const top = shown.find((system) => isSeen(system.box));
      // a system that holds the place holds it still, whichever of its bars was meant
      const held = top && top.first <= seen.bar && seen.bar <= top.last;
      seen = top ? { bar: held ? seen.bar : top.first, top: topOf(top) } : { ...seen, top: null };
    }
  }

  /** Writes the place into the address once it rests; the beginning of a page that nobody has moved needs none. */
  function tell() {
    clearTimeout(timer);
    timer = window.setTimeout(() => {
      const { loop, playing } = player.state.get();
      if (playing || (!seen.bar && !loop && !location.hash)) return;
      const hash = barAddress(piece.bars, loop ? loop.first : seen.bar, loop?.last);
      if (!hash || hash === location.hash) return;
      history.replaceState(history.state, "", hash);
      history.scrollRestoration = "manual";
    }, REST);
  }

  addEventListener("scroll", () => {
    frame ||= requestAnimationFrame(() => {
      frame = 0;
      const before = seen.bar;
      look();
      if (seen.bar !== before) tell();
    });
  }, { passive: true });
  player.state.on((value, before) => {
    if (value.bar === before.bar && value.playing === before.playing && value.loop === before.loop) return;
    look();
    if (!value.playing) tell();
  });

  return {
    bar() {
      look();
      return seen.bar;
    },
    /**
     * Lays out the music anew with the place at its height on the screen.
     * @template T @param {() => T} lay
     */
    keep(lay) {
      look();
      const { bar, top } = seen;
      const laid = lay();
      const system = systems.systemOf(bar);
      if (top !== null && system) scrollBy({ top: topOf(system) - Math.max(0, top), behavior: "instant" });
      seen = { bar, top };
      return laid;
    },
  };
}

/** @typedef {ReturnType<typeof createPlace>} Place */

/** @param {import("./score/systems.js").System} system */
function topOf(system) {
  return system.box.getBoundingClientRect().top;
}

/** Whether at least half of a system is on the screen. @param {HTMLElement} box */
function isSeen(box) {
  const { top, height } = box.getBoundingClientRect();
  return onScreen(box) && top + height / 2 > 0;
}
