// The notes that a piece may ask for, and the recordings that they need.

import { soundsUrl } from "./piano.js";
import { sampleFile, samplesFor } from "./samples.js";

/**
 * The MIDI numbers of all notes of all stages: a stage may have moved some of the score's by an octave.
 * @param {import("../score/data.js").PieceFiles} files
 * @param {string[]} [order] the stages as they are needed
 */
export async function neededNotes(files, order = []) {
  const piece = await files.piece();
  const stages = [...piece.stages].sort((a, b) => order.indexOf(a.slug) - order.indexOf(b.slug));
  const timings = await Promise.all(stages.map((stage) => files.timing(stage)));
  return timings.flatMap((timing) => timing.notes.map((note) => note.midi));
}

/** The addresses of the recordings, as they are needed. @param {import("../score/data.js").PieceFiles} files @param {string[]} [order] */
export async function soundsOf(files, order) {
  const samples = samplesFor(await neededNotes(files, order));
  return samples.map((sample) => new URL(sampleFile(sample), soundsUrl).href);
}
