"""The files of no piece that are made from what all pieces have: gallery, index pages, collections, search."""

from __future__ import annotations

from sitegen.building.steps.nouns import Outputs
from sitegen.publishing.cards import GalleryCard
from sitegen.publishing.nouns import PublishedCollection, PublishedLibrary
from sitegen.publishing.pages import render_gallery, render_search, render_works


def make_shelf(
    studio: PublishedLibrary, cards: tuple[GalleryCard, ...], collections: tuple[PublishedCollection, ...], theme: str
) -> Outputs:
    """The pages of the whole site by their path below its root. ``theme`` is a digest of the theme, which is read where
    it lies."""
    del theme
    return Outputs(render_gallery(studio, cards, collections) | render_works(studio, cards))


def make_search(words: tuple[bytes, ...], slugs: tuple[str, ...]) -> Outputs:
    """The index of all words by the path of its files; ``words`` are those of the pieces ``slugs``."""
    return Outputs(render_search(dict(zip(slugs, words, strict=True))))
