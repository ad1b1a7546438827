// The rhythm of a bar as it is to be tapped: when notes are struck, and where the beats fall. Pure.

import { beatsBefore, clicksOf, stepOf } from "../play/timeline.js";

/**
 * @typedef {object} Task times in seconds, at the tempo at which it is tapped
 * @property {number[]} onsets from the beginning of the bar
 * @property {string[]} beats where each of them lies in the bar, in words
 * @property {{at: number, strong: boolean}[]} clicks from the beginning of the bar
 * @property {number} before beats that are counted in
 * @property {number} beat the length of one
 * @property {number} length of the bar
 */

/**
 * @param {object} of
 * @param {number} of.bar
 * @param {import("../play/timeline.js").BarLengths[]} of.bars
 * @param {import("../play/timeline.js").Timing} of.timing
 * @param {import("../score/data.js").StageNote[]} of.notes of the stage
 * @param {(hand: "left" | "right") => boolean} of.taps whether the rhythm of a hand is tapped
 * @param {number} of.speed 1 is the tempo of the piece
 * @returns {Task}
 */
export function taskOf({ bar, bars, timing, notes, taps, speed }) {
  const played = timing.bars[stepOf(timing, bar)];
  const { length, beat } = bars[bar];
  const quarter = (played.off - played.on) / (length || 1) / speed;
  /** @type {Map<number, string>} */
  const struck = new Map();
  for (const note of notes) {
    // a grace has no time of its own
    if (note.bar === bar && note.duration > 0 && taps(note.hand)) struck.set(note.onset, note.beat);
  }
  const onsets = [...struck.keys()].sort((a, b) => a - b);
  return {
    onsets: onsets.map((onset) => onset * quarter),
    beats: onsets.map((onset) => struck.get(onset) ?? ""),
    clicks: clicksOf(played, bars[bar]).map(({ at, strong }) => ({ at: at / speed, strong })),
    before: beatsBefore(bars, bar),
    beat: beat * quarter,
    length: length * quarter,
  };
}
