// When everything sounds: the timing file as something to play from. Pure; all times in seconds at the piece's tempo.

/**
 * @typedef {{id: string, on: number, off: number, midi: number, hand: "left" | "right", velocity?: number, tied?: boolean}} TimedNote `velocity` is MIDI's, 1 to 127
 * @typedef {{bar: number, on: number, off: number}} PlayedBar
 * @typedef {{at: number, beats_a_minute: number}} TempoMark
 * @typedef {{notes: TimedNote[], bars: PlayedBar[], tempo: TempoMark[], length: number}} Timing as in the file, with what its cards say of each note: repeats unfolded
 * @typedef {{step: number, fraction: number}} Place the played bar by its place in `bars`, and how far into it, 0 to 1
 */

/**
 * The same music with each bar played once: a repeat is left out, and so is a first ending.
 * @param {Timing} timing
 * @returns {Timing}
 */
export function withoutRepeats(timing) {
  const skipped = skippedBars(timing.bars);
  let reached = -1;
  let shift = 0;
  let end = 0;
  /** @type {PlayedBar[]} */
  const bars = [];
  /** @type {TimedNote[]} */
  const notes = [];
  /** @type {TempoMark[]} */
  const tempo = [];
  for (const played of timing.bars) {
    if (played.bar <= reached || skipped.has(played.bar)) continue;
    reached = played.bar;
    shift = end - played.on;
    end = played.off + shift;
    bars.push({ bar: played.bar, on: played.on + shift, off: end });
    for (const note of timing.notes) {
      if (note.on >= played.on - 1e-6 && note.on < played.off - 1e-6) {
        notes.push({ ...note, on: note.on + shift, off: note.off + shift });
      }
    }
    const mark = tempoAt(timing, played.on);
    if (tempo.at(-1)?.beats_a_minute !== mark) tempo.push({ at: played.on + shift, beats_a_minute: mark });
    for (const change of timing.tempo) {
      if (change.at > played.on && change.at < played.off) tempo.push({ ...change, at: change.at + shift });
    }
  }
  return { notes, bars, tempo, length: end };
}

/** The bars of endings that a later pass jumps over. @param {PlayedBar[]} bars */
function skippedBars(bars) {
  const skipped = new Set();
  for (let step = 1; step < bars.length; step += 1) {
    for (let bar = bars[step - 1].bar + 1; bar < bars[step].bar; bar += 1) skipped.add(bar);
  }
  return skipped;
}

/** Beats a minute at a time. @param {Timing} timing @param {number} time */
export function tempoAt(timing, time) {
  let beats = timing.tempo[0]?.beats_a_minute ?? 60;
  for (const mark of timing.tempo) if (mark.at <= time + 1e-6) beats = mark.beats_a_minute;
  return beats;
}

/** The index of the first note that begins at `time` or later. @param {TimedNote[]} notes @param {number} time */
export function firstFrom(notes, time) {
  let low = 0;
  let high = notes.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (notes[middle].on < time - 1e-6) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Where in the played bars a time lies. @param {Timing} timing @param {number} time @returns {Place} */
export function placeAt(timing, time) {
  let step = 0;
  while (step + 1 < timing.bars.length && timing.bars[step + 1].on <= time + 1e-6) step += 1;
  const bar = timing.bars[step];
  const length = bar.off - bar.on || 1;
  return { step, fraction: Math.min(1, Math.max(0, (time - bar.on) / length)) };
}

/** The time of a place; places beyond the end are the end. @param {Timing} timing @param {Place} place */
export function timeOf(timing, place) {
  const bar = timing.bars[Math.min(place.step, timing.bars.length - 1)];
  return bar.on + place.fraction * (bar.off - bar.on);
}

/**
 * The step at which a printed bar is played: the first time, or the first at or after step `from`.
 * @param {Timing} timing @param {number} bar @param {number} [from]
 */
export function stepOf(timing, bar, from = 0) {
  const after = timing.bars.findIndex((played, step) => step >= from && played.bar === bar);
  return after >= 0 ? after : timing.bars.findIndex((played) => played.bar === bar);
}

/** @typedef {{length: number, beat: number, lead: number}} BarLengths in quarters */

/** The beats of a full bar before a bar, and those that an upbeat leaves out. @param {BarLengths[]} bars @param {number} index */
export function beatsBefore(bars, index) {
  const full = Math.max(...bars.slice(index, index + 2).map((each) => each.length));
  return Math.max(1, Math.round((full + bars[index].lead) / bars[index].beat));
}

/**
 * The clicks of one played bar, in seconds from its start; `strong` marks the first beat of the metre.
 * @param {PlayedBar} played
 * @param {{length: number, beat: number, lead: number}} bar in quarters
 * @returns {{at: number, strong: boolean}[]}
 */
export function clicksOf(played, bar) {
  const perQuarter = (played.off - played.on) / (bar.length || 1);
  const clicks = [];
  for (let beat = Math.ceil(bar.lead / bar.beat - 1e-6); beat * bar.beat - bar.lead < bar.length - 1e-6; beat += 1) {
    clicks.push({ at: (beat * bar.beat - bar.lead) * perQuarter, strong: beat === 0 });
  }
  return clicks;
}
