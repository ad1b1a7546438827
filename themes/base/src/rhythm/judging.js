// Whether taps come when the notes of a bar are struck. Pure; all times in seconds from the beginning of the bar.

/**
 * @typedef {"in-time" | "bit-early" | "early" | "bit-late" | "late" | "missed"} Verdict
 */

/**
 * How far from its note a tap is still in time: an eighth of the beat, since beyond that it lies nearer to the next
 * place at which a semiquaver could stand than to its own; but no less than a twentieth of a second, which nobody
 * hears, and no more than an eighth of a second, which everybody does.
 * @param {number} beat its length
 */
export function tolerance(beat) {
  return Math.min(0.125, Math.max(0.05, beat / 8));
}

/**
 * Each note with its tap, in order, so that what is late throughout is late, and not another rhythm. A tap further than
 * half a beat from any note that is left is one too many.
 * @param {number[]} onsets of the notes, in order @param {number[]} taps in order @param {number} beat its length
 * @returns {{verdicts: Verdict[], extra: number}} a verdict for each note
 */
export function judge(onsets, taps, beat) {
  const most = beat / 2;
  /** @param {number} note @param {number} tap */
  const between = (note, tap) => {
    const by = Math.abs(taps[tap] - onsets[note]);
    return by <= most ? by : Infinity;
  };
  /** The least sum of distances of the first notes and taps. @type {number[][]} */
  const least = [];
  for (let note = 0; note <= onsets.length; note += 1) {
    least.push([]);
    for (let tap = 0; tap <= taps.length; tap += 1) {
      const ways = [
        note && tap ? least[note - 1][tap - 1] + between(note - 1, tap - 1) : Infinity,
        note ? least[note - 1][tap] + most : Infinity,
        tap ? least[note][tap - 1] + most : Infinity,
      ];
      least[note].push(note || tap ? Math.min(...ways) : 0);
    }
  }
  /** @type {Verdict[]} */
  const verdicts = onsets.map(() => "missed");
  let extra = 0;
  let tap = taps.length;
  for (let note = onsets.length; note || tap; ) {
    if (note && tap && least[note][tap] === least[note - 1][tap - 1] + between(note - 1, tap - 1)) {
      verdicts[note - 1] = verdictOf(taps[tap - 1] - onsets[note - 1], tolerance(beat));
      note -= 1;
      tap -= 1;
    } else if (note && least[note][tap] === least[note - 1][tap] + most) note -= 1;
    else {
      extra += 1;
      tap -= 1;
    }
  }
  return { verdicts, extra };
}

/** @param {number} by how much later than the note @param {number} within @returns {Verdict} */
function verdictOf(by, within) {
  if (Math.abs(by) <= within) return "in-time";
  if (Math.abs(by) <= 2 * within) return by < 0 ? "bit-early" : "bit-late";
  return by < 0 ? "early" : "late";
}
