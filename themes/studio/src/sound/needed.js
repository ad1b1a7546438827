// The notes that a piece may ask for, and the recordings that they need.

import { soundsUrl } from "./piano.js";
import { sampleFile, samplesFor } from "./samples.js";

/**
 * The MIDI numbers of all notes of all stages: a stage may have moved some of the score's by an octave.
 * @param {import("../score/data.js").PieceFiles} files
 */
export async function neededNotes(files) {
  const { stages } = await files.piece();
  const timings = await Promise.all(stages.map((stage) => files.timing(stage)));
  return timings.flatMap((timing) => timing.notes.map((note) => note.midi));
}

/** The addresses of the recordings. @param {import("../score/data.js").PieceFiles} files */
export async function soundsOf(files) {
  const samples = samplesFor(await neededNotes(files));
  return samples.map((sample) => new URL(sampleFile(sample), soundsUrl).href);
}
