"""``harmonies.json``: to the pupil who asks, why each harmony of ``piece.json`` is what it is, in the same order."""

from __future__ import annotations

from sitegen.publishing.datafiles import as_json
from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, below_piece

HARMONIES: PublishedFile[OfPiece] = PublishedFile(
    OfPiece,
    below_piece("harmonies.json"),
    lambda source, path: as_json([harmony.plainly for harmony in source.piece.harmonies]),
)
