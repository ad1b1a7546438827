"""``words.json``: the words by which a piece is found, of which the index of the site is made."""

from __future__ import annotations

from sitegen.publishing.browsing.words import words_of
from sitegen.publishing.datafiles import as_json
from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, below_piece

FILE = "words.json"

WORDS: PublishedFile[OfPiece] = PublishedFile(
    OfPiece, below_piece(FILE), lambda source, path: as_json(words_of(source.piece, source.press.words))
)
