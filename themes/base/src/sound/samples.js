// The recorded notes of the piano: every third semitone from A0 (MIDI 21) to C8 (108). Each plays its neighbours.

const NAMES = ["C", "Ds", "Fs", "A"];
const LOWEST = 21;
const HIGHEST = 108;

/** The recorded note nearest to a MIDI note. @param {number} midi */
export function nearestSample(midi) {
  return Math.min(HIGHEST, Math.max(LOWEST, Math.round(midi / 3) * 3));
}

/** The file of a recorded note. @param {number} sample its MIDI note, a multiple of 3 */
export function sampleFile(sample) {
  return `${NAMES[(sample % 12) / 3]}${Math.floor(sample / 12) - 1}.mp3`;
}

/** The recorded notes that these notes need, each once, in their order. @param {Iterable<number>} midis */
export function samplesFor(midis) {
  return [...new Set([...midis].map(nearestSample))];
}
