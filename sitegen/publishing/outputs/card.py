"""``card.json``: the piece as the gallery shows it, kept for builds in which it cannot be made."""

from __future__ import annotations

from dataclasses import asdict

from sitegen.publishing.datafiles import as_json
from sitegen.publishing.nouns import card_of
from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, below_piece

FILE = "card.json"

CARD: PublishedFile[OfPiece] = PublishedFile(
    OfPiece, below_piece(FILE), lambda source, path: as_json(asdict(card_of(source.piece)))
)
