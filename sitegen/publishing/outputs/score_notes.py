"""``notes.json``: what the card of a note says of it, for each note of the score."""

from __future__ import annotations

from sitegen.publishing.datafiles import as_json, score_notes
from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, below_piece

SCORE_NOTES: PublishedFile[OfPiece] = PublishedFile(
    OfPiece, below_piece("notes.json"), lambda source, path: as_json(score_notes(source.piece, source.press.words))
)
