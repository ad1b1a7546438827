"""``piece.json``: what the scripts of a piece's pages know of it before its music is asked for."""

from __future__ import annotations

from sitegen.publishing.datafiles import as_json, piece_data
from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, below_piece

PIECE_DATA: PublishedFile[OfPiece] = PublishedFile(
    OfPiece, below_piece("piece.json"), lambda source, path: as_json(piece_data(source.piece, source.press.words))
)
