"""``sitemap.xml``: the pages that a search engine should know, by addresses that hold everywhere (sitemaps.org)."""

from __future__ import annotations

from sitegen.publishing.browsing.facets import shelve
from sitegen.publishing.outputs.collections import collection_file
from sitegen.publishing.outputs.indexes import index_file
from sitegen.publishing.outputs.nouns import OfSite, PublishedFile, folder_of
from sitegen.publishing.outputs.own_page import own_page_file

FILE = "sitemap.xml"


def _write(source: OfSite, path: str) -> bytes:
    shelves = shelve(source.cards, source.press.words)
    paths = [
        "index.html",
        "about/index.html",
        *(index_file(shelf.facet.name) for shelf in shelves if shelf.facet.indexed),
        *(collection_file(one.slug) for one in source.collections),
        *(own_page_file(one.slug) for one in source.pages),
        *sorted(folder_of(card.slug) + "index.html" for card in source.cards),
    ]
    return source.press.page("sitemap.xml.j2", path, addresses=[source.press.address_of(one) for one in paths])


SITEMAP: PublishedFile[OfSite] = PublishedFile(
    OfSite, lambda source: FILE, _write, wanted=lambda source: bool(source.press.library.address)
)
