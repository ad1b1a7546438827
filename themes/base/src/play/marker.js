// Marks the notes that sound and the bar that is played, frame by frame.

import { placeAt, timeOf } from "./timeline.js";

/** @typedef {import("../score/engraving.js").Engraving} Engraving */
/** @typedef {import("./timeline.js").Timing} Timing */

/**
 * Each change is told on the music as an event "sounding", whose detail holds the ids of the notes that sound and the
 * time of the music, in seconds at its own tempo.
 *
 * @param {HTMLElement} music
 * @param {object} page
 * @param {() => Timing | null} page.timing
 * @param {() => number | null} page.position seconds of the music, as heard; null before it begins, and between the rounds of a loop
 * @param {() => Iterable<Engraving>} page.engravings the drawings in which to mark
 * @param {() => {timing: Timing, engravings: Engraving[]} | null} page.companion a score shown beside, marked in its own time
 * @param {(hand: "left" | "right") => boolean} page.hears whether a hand is to be heard
 * @param {(place: import("./timeline.js").Place, position: number) => void} page.moved hears of every frame
 */
export function createMarker(music, { timing, position, engravings, companion, hears, moved }) {
  /** @type {Set<string>} */
  let marked = new Set();
  /** @type {Set<string>} */
  let markedBeside = new Set();
  let frame = 0;
  let reached = 0;

  /** The notes of the hands that are heard that sound at a time. @param {Timing} from @param {number} at */
  const soundingAt = (from, at) => {
    /** @type {Set<string>} */
    const ids = new Set();
    for (const note of soundingNotes(from, at)) if (hears(note.hand)) ids.add(note.id);
    return ids;
  };

  /** @param {Set<string>} next @param {number} at */
  function mark(next, at) {
    if (same(next, marked)) return;
    show(engravings(), marked, next);
    marked = next;
    music.dispatchEvent(new CustomEvent("sounding", { detail: { ids: [...next], at } }));
  }

  /** @param {Timing | null} from @param {number} at */
  function markBeside(from, at) {
    const beside = companion();
    if (!beside) {
      markedBeside = new Set();
      return;
    }
    const next = from ? soundingAt(beside.timing, timeOf(beside.timing, placeAt(from, at))) : new Set();
    if (!same(next, markedBeside)) show(beside.engravings, markedBeside, next);
    markedBeside = next;
  }

  function step() {
    const from = timing();
    const at = position();
    if (from && at !== null) {
      mark(soundingAt(from, at), at);
      markBeside(from, at);
      moved(placeAt(from, at), at);
      reached = at;
    } else if (marked.size) {
      mark(new Set(), reached);
      markBeside(null, 0);
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
      markBeside(null, 0);
    },
    /** Marks again what sounds, in a drawing that has just come alive. @param {Engraving} drawing */
    renew: (drawing) => show([drawing], new Set(), marked),
    /** The same in a drawing of the score that is shown beside. @param {Engraving} drawing */
    renewBeside: (drawing) => show([drawing], new Set(), markedBeside),
    /** Takes the marks off without a word, when the drawings go away. */
    forget() {
      marked = new Set();
      markedBeside = new Set();
    },
  };
}

/** @param {Iterable<Engraving>} drawings @param {Set<string>} before @param {Set<string>} next */
function show(drawings, before, next) {
  for (const engraving of drawings) {
    for (const id of before) {
      if (!next.has(id)) for (const head of engraving.heads.get(id) ?? []) head.classList.remove("sounding");
    }
    for (const id of next) {
      if (!before.has(id)) for (const head of engraving.heads.get(id) ?? []) head.classList.add("sounding");
    }
  }
}

/** @param {Set<string>} first @param {Set<string>} second */
function same(first, second) {
  return first.size === second.size && [...first].every((id) => second.has(id));
}

/** The longest note of a timing, in seconds. @type {WeakMap<Timing, number>} */
const longest = new WeakMap();

/** The notes that sound at a time. @param {Timing} from @param {number} at */
function* soundingNotes(from, at) {
  const most = longest.get(from) ?? from.notes.reduce((most, note) => Math.max(most, note.off - note.on), 0);
  longest.set(from, most);
  let low = 0;
  let high = from.notes.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (from.notes[middle].on <= at) low = middle + 1;
    else high = middle;
  }
  for (let index = low - 1; index >= 0 && from.notes[index].on >= at - most; index -= 1) {
    if (from.notes[index].off > at) yield from.notes[index];
  }
}
