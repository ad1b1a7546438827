"""``feed.xml``: what is new in the library, as an Atom feed (RFC 4287).

An entry needs a day, so it has the pieces of which the teacher says when they came; and addresses that hold everywhere,
so there is one only where the studio's address is known.
"""

from __future__ import annotations

from sitegen.publishing.browsing.rows import facts_of, newest
from sitegen.publishing.outputs.nouns import OfSite, PublishedFile, folder_of

FILE = "feed.xml"
MOST = 50
"""Entries: what came before is in the gallery."""


def _dated(source: OfSite) -> bool:
    return bool(source.press.library.address) and any(card.added for card in source.cards)


def _write(source: OfSite, path: str) -> bytes:
    dated = [card for card in newest(source.cards) if card.added][:MOST]
    rows = [(card, folder_of(card.slug), facts_of(card, source.press.words)) for card in dated]
    return source.press.page("feed.xml.j2", path, rows=rows, updated=dated[0].added)


FEED: PublishedFile[OfSite] = PublishedFile(OfSite, lambda source: FILE, _write, wanted=_dated)
