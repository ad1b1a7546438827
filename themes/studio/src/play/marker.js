// Marks the notes that sound and the bar that is played, frame by frame.

import { placeAt } from "./timeline.js";

/**
 * Each change is told on the music as an event "sounding", whose detail holds the ids of the notes that sound and the
 * time of the music, in seconds at its own tempo.
 *
 * @param {HTMLElement} music
 * @param {object} page
 * @param {() => import("./timeline.js").Timing | null} page.timing
 * @param {() => number | null} page.position seconds of the music, as heard; null before it begins
 * @param {() => Iterable<import("../score/engraving.js").Engraving>} page.engravings the drawings in which to mark
 * @param {(place: import("./timeline.js").Place, position: number) => void} page.moved hears of every frame
 */
export function createMarker(music, { timing, position, engravings, moved }) {
  /** @type {Set<string>} */
  let marked = new Set();
  /** @type {import("./timeline.js").Timing | null} */
  let known = null;
  let longest = 0;
  let frame = 0;

  /** The notes that sound at a time. @param {import("./timeline.js").Timing} from @param {number} at */
  function soundingAt(from, at) {
    if (from !== known) {
      known = from;
      longest = from.notes.reduce((most, note) => Math.max(most, note.off - note.on), 0);
    }
    /** @type {Set<string>} */
    const ids = new Set();
    let low = 0;
    let high = from.notes.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (from.notes[middle].on <= at) low = middle + 1;
      else high = middle;
    }
    for (let index = low - 1; index >= 0 && from.notes[index].on >= at - longest; index -= 1) {
      if (from.notes[index].off > at) ids.add(from.notes[index].id);
    }
    return ids;
  }

  /** @param {Iterable<string>} ids @param {boolean} on */
  function set(ids, on) {
    for (const id of ids) {
      for (const engraving of engravings()) {
        for (const head of engraving.heads.get(id) ?? []) head.classList.toggle("sounding", on);
      }
    }
  }

  /** @param {Set<string>} next @param {number} at */
  function mark(next, at) {
    const gone = [...marked].filter((id) => !next.has(id));
    const come = [...next].filter((id) => !marked.has(id));
    if (!gone.length && !come.length) return;
    set(gone, false);
    set(come, true);
    marked = next;
    music.dispatchEvent(new CustomEvent("sounding", { detail: { ids: [...next], at } }));
  }

  function step() {
    const from = timing();
    const at = position();
    if (from && at !== null) {
      mark(soundingAt(from, at), at);
      moved(placeAt(from, at), at);
    }
    frame = requestAnimationFrame(step);
  }

  return {
    start() {
      cancelAnimationFrame(frame);
      frame = requestAnimationFrame(step);
    },
    stop() {
      cancelAnimationFrame(frame);
      mark(new Set(), position() ?? 0);
    },
    /** Marks again what sounds, in a system that has just come alive. @param {import("../score/systems.js").System} system */
    renew(system) {
      for (const id of marked) {
        for (const head of system.engraving?.heads.get(id) ?? []) head.classList.add("sounding");
      }
    },
    /** Takes the marks off without a word, when the drawings go away. */
    forget() {
      marked = new Set();
    },
  };
}
