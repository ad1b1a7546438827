// The recordings that a piece needs, for keeping it before it has been opened.

import { openPiece } from "../score/data.js";
import { soundsUrl } from "./piano.js";
import { sampleFile, samplesFor } from "./samples.js";

/** The addresses of the recordings. @param {URL} folder of the piece */
export async function soundsOf(folder) {
  const files = openPiece(folder);
  const piece = await files.piece();
  const timings = await Promise.all(piece.stages.map((stage) => files.timing(stage)));
  const samples = samplesFor(timings.flatMap((timing) => timing.notes.map((note) => note.midi)));
  return samples.map((sample) => new URL(sampleFile(sample), soundsUrl).href);
}
