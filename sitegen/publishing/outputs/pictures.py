"""The first bars of a piece, ``incipit.svg``, and the excerpts of its commentary, ``excerpts/1.svg`` ..."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfPicture, TakenFile, folder_of


def picture_file(number: int) -> str:
    """Below the folder of the piece, the excerpt that is the ``number``-th by the order of the links; 0 is the
    incipit."""
    return f"excerpts/{number}.svg" if number else "incipit.svg"


PICTURE: TakenFile[OfPicture] = TakenFile(
    OfPicture, lambda source: folder_of(source.piece) + picture_file(source.number), lambda source: source.drawing
)
