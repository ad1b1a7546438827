"""``card.png``: the first bars of a piece, for those who link to it; where the studio's address is known."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfCardPicture, TakenFile, folder_of

FILE = "card.png"

CARD_PICTURE: TakenFile[OfCardPicture] = TakenFile(
    OfCardPicture, lambda source: folder_of(source.piece) + FILE, lambda source: source.picture
)
