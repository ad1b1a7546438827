"""``shelf.json``: every piece with what it can be chosen by, for the scripts of the gallery."""

from __future__ import annotations

from sitegen.publishing.browsing.rows import shelf_data
from sitegen.publishing.datafiles import as_json
from sitegen.publishing.outputs.nouns import OfSite, PublishedFile

SHELF: PublishedFile[OfSite] = PublishedFile(
    OfSite, lambda source: "shelf.json", lambda source, path: as_json(shelf_data(source.cards, source.press.words))
)
