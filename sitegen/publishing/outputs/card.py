"""``card.json``: the piece as the gallery shows it, kept for builds in which it cannot be made."""

from __future__ import annotations

from sitegen.publishing.cards import card_of, card_to_bytes
from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, below_piece

FILE = "card.json"

CARD: PublishedFile[OfPiece] = PublishedFile(
    OfPiece, below_piece(FILE), lambda source, path: card_to_bytes(card_of(source.piece))
)
