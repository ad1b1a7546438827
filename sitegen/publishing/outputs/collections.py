"""``collections/<name>/index.html``: pieces that a teacher has put together, in her order, with her words."""

from __future__ import annotations

from markupsafe import Markup

from sitegen.publishing.browsing.rows import by_of, facts_of, shown_size
from sitegen.publishing.outputs.nouns import OfCollection, PublishedFile


def collection_file(slug: str) -> str:
    """The place of the page of a collection below the site's root."""
    return f"collections/{slug}/index.html"


def _write(source: OfCollection, path: str) -> bytes:
    words = source.press.words
    return source.press.page(
        "collection.html.j2",
        path,
        collection=source.collection,
        text=Markup(source.collection.text),
        leaves=[(card, by_of(card, words), facts_of(card, words), shown_size(card)) for card in source.cards],
    )


COLLECTION: PublishedFile[OfCollection] = PublishedFile(
    OfCollection, lambda source: collection_file(source.collection.slug), _write
)
