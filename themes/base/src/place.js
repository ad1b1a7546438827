// The place: the bar that sounds while the music plays; else the bar that was chosen, while it is in view, and when it
// has been scrolled away the bar at the top of the music in view. It stands in the address, also while the music plays.

import { barAddress } from "./score/address.js";
import { onScreen } from "./score/systems.js";

/** Milliseconds between two changes of the address: browsers refuse more than 100 in half a minute. */
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
  let told = "";
  let frame = 0;
  /** @type {((bars: string) => void)[]} */
  const listeners = [];
  /** @type {(() => void)[]} */
  const movedListeners = [];

  /** Looks where the music stands now; while another layout is on its way what was seen before holds. */
  function look() {
    const { bar, playing } = player.state.get();
    const shown = rows();
    if (!shown.length) return;
    const holds = (/** @type {Row} */ row, /** @type {number} */ one) => row.first <= one && one <= row.last;
    const chosen = shown.find((row) => holds(row, bar));
    if (chosen && (playing || isSeen(chosen.box))) seen = { bar, top: topOf(chosen) };
    else {
      const top = shown.find((row) => isSeen(row.box));
      // a line that holds the place holds it still, whichever of its bars was meant
      const held = top && shown.some((row) => holds(row, seen.bar) && Math.abs(topOf(row) - topOf(top)) < 1);
      seen = top ? { bar: held ? seen.bar : top.first, top: topOf(top) } : { ...seen, top: null };
    }
  }

  /** The lines of music in view or out of it: systems, or the bars of the comparison that stands in their place. */
  function rows() {
    /** @type {readonly Row[]} */
    const all = [...systems.all(), ...pairs()];
    return all.filter((row) => row.box.getClientRects().length);
  }

  /** Writes the place into the address now and then; the beginning of a page that nobody has moved needs none. */
  function tell() {
    timer ||= window.setTimeout(() => {
      timer = 0;
      const { loop } = player.state.get();
      if (!seen.bar && !loop && !location.hash) return;
      const hash = barAddress(piece.bars, loop ? loop.first : seen.bar, loop?.last);
      if (!hash || (hash === location.hash && hash === told)) return;
      told = hash;
      if (hash !== location.hash) history.replaceState(history.state, "", hash);
      history.scrollRestoration = "manual";
      for (const listener of listeners) listener(hash);
    }, REST);
  }

  addEventListener("scroll", () => {
    frame ||= requestAnimationFrame(() => {
      frame = 0;
      const before = seen.bar;
      look();
      if (seen.bar === before) return;
      tell();
      for (const listener of movedListeners) listener();
    });
  }, { passive: true });
  player.state.on((value, before) => {
    if (value.bar === before.bar && value.playing === before.playing && value.loop === before.loop) return;
    look();
    tell();
  });

  return {
    /** @param {(bars: string) => void} listener hears the place as the address has it, whenever that has changed */
    onTold(listener) {
      listeners.push(listener);
    },
    /** @param {() => void} listener hears when another bar has become the place by scrolling */
    onMoved(listener) {
      movedListeners.push(listener);
    },
    bar() {
      look();
      return seen.bar;
    },
    /** Brings the place back to its height on the screen, after the same music has been laid out at another scale; a
     * page that has not been scrolled stays at its beginning. */
    stay() {
      const { bar, top } = seen;
      const row = rows().find((each) => each.first <= bar && bar <= each.last);
      if (row && top !== null && scrollY > 0) scrollBy({ top: topOf(row) - Math.max(0, top), behavior: "instant" });
      seen = { bar, top };
    },
    /**
     * Lays out the music anew with the place at its height on the screen.
     * @template T @param {() => T} lay
     */
    keep(lay) {
      look();
      const { bar, top } = seen;
      const scrolled = scrollY > 0;
      const laid = lay();
      const system = systems.systemOf(bar);
      const shown = top !== null && system?.box.getClientRects().length;
      if (scrolled && shown) scrollBy({ top: topOf(system) - Math.max(0, top), behavior: "instant" });
      seen = { bar, top };
      return laid;
    },
  };
}

/** @typedef {ReturnType<typeof createPlace>} Place */

/** Bars, `first` and `last` included, that stand in one box. @typedef {{first: number, last: number, box: HTMLElement}} Row */

/** @returns {Row[]} */
function pairs() {
  return /** @type {HTMLElement[]} */ ([...document.querySelectorAll(".pairs > .pair")]).map((box) => {
    const bar = Number(box.dataset.bar);
    return { first: bar, last: bar, box };
  });
}

/** @param {Row} row */
function topOf(row) {
  return row.box.getBoundingClientRect().top;
}

/** Whether at least half of a system is on the screen. @param {HTMLElement} box */
function isSeen(box) {
  const { top, height } = box.getBoundingClientRect();
  return onScreen(box) && top + height / 2 > 0;
}
