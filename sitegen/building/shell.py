"""The files of a site that belong to no piece: scripts, styles, sounds, the gallery and all that is found from it.

What is made from all pieces is made by steps, so that it is made again only where it shows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sitegen import publishing
from sitegen.building.codec import to_bytes
from sitegen.building.digests import digest_of
from sitegen.building.driving import Code, run_here
from sitegen.building.publication import Contents
from sitegen.building.scheduling import Plan
from sitegen.building.steps import table
from sitegen.building.steps.table import Call
from sitegen.building.store import Store
from sitegen.building.studios import collection_page, digest_of_theme
from sitegen.engraving import music_font
from sitegen.library import Collection

MUSIC_FONT = "music-font.woff2"


@dataclass(frozen=True, slots=True)
class Shelved:
    """What all pieces have: their cards, the digests of their words by slug, and the collections."""

    cards: Sequence[publishing.GalleryCard]
    words: Mapping[str, str]
    collections: Sequence[Collection] = ()


def shell_files(
    look: publishing.Theme, studio: publishing.PublishedLibrary, shelved: Shelved, store: Store, code: Code
) -> dict[str, Contents]:
    """The files by their path below the site's root, and the list of what to keep of them: bytes, or the digest of what
    the store has."""
    assets = publishing.site_assets(look) | {MUSIC_FONT: music_font()}
    made: list[dict[str, str]] = run_here(lambda: _made(look, studio, shelved, store), store, code)
    digests = {path: digest for outputs in made for path, digest in outputs.items()}
    lists = publishing.render_lists({path: digest_of(data) for path, data in assets.items()} | digests)
    return {**assets, **digests, **lists}


def _made(look: publishing.Theme, studio: publishing.PublishedLibrary, shelved: Shelved, store: Store) -> Plan:
    def put(value: object) -> str:
        return store.put(to_bytes(value))

    cards = tuple(sorted(shelved.cards, key=lambda card: card.slug))
    collections = tuple(collection_page(one) for one in shelved.collections)
    inputs = {"studio": put(studio), "cards": put(cards), "collections": put(collections)}
    slugs = sorted(shelved.words)
    made: list[Any] = yield [
        Call(table.SHELF, inputs, {"theme": digest_of_theme(look)}),
        Call(table.SEARCH, {"words": tuple(shelved.words[slug] for slug in slugs)}, {"slugs": slugs}),
    ]
    return made
