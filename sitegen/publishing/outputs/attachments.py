"""The files that the teacher gives with a piece, where its commentary shows them."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfAttachment, TakenFile, folder_of

ATTACHMENT: TakenFile[OfAttachment] = TakenFile(
    OfAttachment, lambda source: folder_of(source.piece) + source.path, lambda source: source.data
)
