"""``index.html``: the gallery of the library's pieces.

It holds the first of them; the others are on the index pages, and scripts lay them in.
"""

from __future__ import annotations

from markupsafe import Markup

from sitegen.publishing.browsing.facets import shelve
from sitegen.publishing.browsing.rows import by_of, by_title, facts_of, shown_size
from sitegen.publishing.outputs.nouns import OfSite, PublishedFile

SHOWN = 48
"""Pieces that are shown at once: some screens full, and so few that a phone lays them out at once."""
FEW = 12
"""Pieces that are seen at a glance: filters for these open when they are asked for, on large screens too."""


def _write(source: OfSite, path: str) -> bytes:
    words = source.press.words
    shelves = shelve(source.cards, words)
    shown = by_title(source.cards)[:SHOWN]
    return source.press.page(
        "gallery.html.j2",
        path,
        leaves=[(card, by_of(card, words), facts_of(card, words), shown_size(card)) for card in shown],
        count=len(source.cards),
        shown=SHOWN,
        many=len(source.cards) > FEW,
        # what all pieces have alike divides nothing
        filters=[shelf for shelf in shelves if len(shelf.choices) > 1],
        dated=any(card.added for card in source.cards),
        indexes=[shelf.facet.name for shelf in shelves if shelf.facet.indexed],
        collections=source.collections,
        pages=source.pages,
        introduction=Markup(source.press.library.introduction),
    )


GALLERY: PublishedFile[OfSite] = PublishedFile(OfSite, lambda source: "index.html", _write)
