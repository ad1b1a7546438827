"""``shelf.json``: every piece with what it can be chosen by, for the scripts of the gallery."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sitegen.publishing.browsing.facets import Shelf, shelve
from sitegen.publishing.browsing.index import numbering_of
from sitegen.publishing.cards import GalleryCard
from sitegen.publishing.messages import Catalogue
from sitegen.publishing.spelling import key_in_words


def by_title(cards: Sequence[GalleryCard]) -> list[GalleryCard]:
    """The cards in the order of the gallery."""
    return sorted(cards, key=lambda card: (card.title.lower(), card.slug))


def newest(cards: Sequence[GalleryCard]) -> list[GalleryCard]:
    """Those that came last first, then those of which no day is known, by title."""
    return sorted(by_title(cards), key=lambda card: card.added, reverse=True)


def by_of(card: GalleryCard, words: Catalogue) -> str:
    """Who wrote it, and whose work its ladder is where that is another library's."""
    return " · ".join(
        filter(None, (card.composer, words("facts.library", library=card.library) if card.library else ""))
    )


def facts_of(card: GalleryCard, words: Catalogue) -> str:
    """Key, level, bars and stages in a line."""
    parts = [key_in_words(card.key, words), card.level, words("facts.bars", count=card.bar_count)]
    return " · ".join(part for part in (*parts, words("gallery.stages", count=card.stage_count)) if part)


def shelf_data(cards: Sequence[GalleryCard], words: Catalogue) -> dict[str, Any]:
    """Facets with the names of their choices; pieces by their slugs, each a row: slug, title, by whom, summary, facts,
    the file of its first bars with its width and height, bars, and for each facet the places of its choices; and how
    the pieces stand by title and by newness, as their numbers."""
    numbered = sorted(cards, key=lambda card: card.slug)
    number = {card.slug: place for place, card in enumerate(numbered)}
    shelves = shelve(cards, words)
    chosen = [_places(shelf) for shelf in shelves]
    return {
        "of": numbering_of([card.slug for card in numbered]),
        "facets": [[shelf.facet.name, [choice.name for choice in shelf.choices]] for shelf in shelves],
        "pieces": [
            [
                card.slug, card.title, by_of(card, words), card.summary, facts_of(card, words), *_picture(card),
                card.bar_count, [places.get(card.slug, []) for places in chosen],
            ]
            for card in numbered
        ],
        "title": [number[card.slug] for card in by_title(cards)],
        "newest": [number[card.slug] for card in newest(cards)],
    }  # fmt: skip


def _places(shelf: Shelf) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for place, choice in enumerate(shelf.choices):
        for card in choice.cards:
            found.setdefault(card.slug, []).append(place)
    return found


def _picture(card: GalleryCard) -> list[object]:
    return ["", 0, 0] if card.incipit is None else [card.incipit.file, *shown_size(card)]


def shown_size(card: GalleryCard) -> tuple[int, int]:
    """Width and height of the first bars in the gallery, in CSS pixels: all staves of one size."""
    if card.incipit is None:
        return 0, 0
    return round(card.incipit.width * _SHOWN), round(card.incipit.height * _SHOWN)


_SHOWN = 0.3
