// Where a time lies across a drawn system: from the notes that stand there, and evenly between them.

import { headPlace } from "./engraving.js";

/**
 * @param {import("./engraving.js").Engraving} engraving
 * @param {import("./data.js").StageNote[]} notes of the drawn stage
 * @param {import("./data.js").BarRow[]} bars
 * @returns {(bar: number, onset: number) => number | null} the place across, in units of the engraving
 */
export function placesAcross(engraving, notes, bars) {
  /** @type {Map<number, Map<number, number>>} */
  const known = new Map();
  for (const note of notes) {
    const drawnNote = engraving.notes.get(note.id);
    const head = drawnNote && headPlace(drawnNote);
    if (!head) continue;
    const bar = known.get(note.bar) ?? new Map();
    bar.set(note.onset, Math.min(bar.get(note.onset) ?? Infinity, head.x));
    known.set(note.bar, bar);
  }
  const places = new Map(engraving.bars.map((bar) => [bar.index, bar]));

  return (bar, onset) => {
    const place = places.get(bar);
    if (!place) return null;
    const stops = [...(known.get(bar) ?? [])].sort(([a], [b]) => a - b);
    const exact = stops.find(([at]) => Math.abs(at - onset) < 1e-6);
    if (exact) return exact[1];
    const before = stops.filter(([at]) => at < onset).at(-1) ?? [0, place.left + 250];
    const after = stops.find(([at]) => at > onset) ?? [length(bars[bar].length), place.right];
    const share = (onset - before[0]) / (after[0] - before[0] || 1);
    return before[1] + share * (after[1] - before[1]);
  };
}

/** @param {string} text */
function length(text) {
  const [above, below] = text.split("/");
  return Number(above) / Number(below ?? 1);
}
