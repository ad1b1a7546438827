"""What the pages of a piece may offer by its licence, and whom they name."""

from __future__ import annotations

from urllib.parse import quote

from sitegen.library import Piece
from sitegen.library.licences import licence_of
from sitegen.publishing.nouns import Rights


def score_file(piece: Piece) -> str:
    """Where the score itself is published below the folder of the piece; empty where its licence is not known to allow
    that. No ending is one that a browser opens as a page: XML can hold scripts."""
    licence = licence_of(piece.matter.licence)
    if licence is None or not licence.shared:
        return ""
    name = piece.score.name
    return (
        f"score/{name.removesuffix(piece.score.suffix)}.musicxml" if name.lower().endswith(".xml") else f"score/{name}"
    )


def rights_of(piece: Piece) -> Rights:
    """The rights of a piece as its pages show them."""
    matter, licence = piece.matter, licence_of(piece.matter.licence)
    return Rights(
        matter.composer_died,
        matter.editor,
        matter.editor_died,
        matter.encoder,
        licence.address if licence else "",
        quote(score_file(piece)),
        licence is not None and licence.adapted,
    )
