"""``by/composer/index.html`` and its like: the pieces in the order of one facet, for readers without scripts."""

from __future__ import annotations

from sitegen.publishing.browsing.rows import by_title
from sitegen.publishing.outputs.nouns import OfIndex, PublishedFile, folder_of


def _write(source: OfIndex, path: str) -> bytes:
    rows = [
        (choice, [(card, folder_of(card.slug) + "index.html") for card in by_title(choice.cards)])
        for choice in source.shelf.choices
    ]
    return source.press.page(
        "by.html.j2", path, facet=source.shelf.facet.name, rows=rows, indexes=source.indexes, left=source.left
    )


def index_file(facet: str) -> str:
    """The place of the index page of a facet below the site's root."""
    return f"by/{facet}/index.html"


INDEX_PAGE: PublishedFile[OfIndex] = PublishedFile(OfIndex, lambda source: index_file(source.shelf.facet.name), _write)
