"""Pages from data: the gallery, a page for each stage of a piece, the printed pages, and the page about the site.

Every function returns files by their path below the root of the site; nothing is written here. Links are relative, so
a site can lie in any folder of any host. Which files there are is said in ``outputs/``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from hashlib import sha256

from sitegen.publishing.browsing.facets import shelve
from sitegen.publishing.browsing.index import make_index
from sitegen.publishing.browsing.rows import by_title
from sitegen.publishing.cards import GalleryCard
from sitegen.publishing.nouns import PiecePage, PublishedCollection, PublishedLibrary
from sitegen.publishing.outputs.nouns import (
    OfCollection,
    OfFolder,
    OfIndex,
    OfListing,
    OfPiece,
    OfSite,
    OfStage,
    OfWork,
    written,
)
from sitegen.publishing.outputs.registry import written_of
from sitegen.publishing.press import press_of
from sitegen.publishing.set_work import AssignmentPage, OfAssignment, OfWeek


def render_gallery(
    library: PublishedLibrary, pieces: Sequence[GalleryCard], collections: Sequence[PublishedCollection] = ()
) -> dict[str, bytes]:
    """The pages of the whole site: gallery, index pages, collections, credits, and the manifest for the home screen. A
    piece of a collection that is not published is left out there, and so is a collection of which none is."""
    press, known = press_of(library), {card.slug: card for card in pieces}
    chosen = {one: [known[slug] for slug in one.pieces if slug in known] for one in collections}
    files = written(written_of(OfSite), OfSite(press, pieces, [one for one, cards in chosen.items() if cards]))
    shelves = [shelf for shelf in shelve(pieces, press.words) if shelf.facet.indexed]
    for shelf in shelves:
        here = {card.slug for choice in shelf.choices for card in choice.cards}
        left = by_title([card for card in pieces if card.slug not in here])
        files |= written(written_of(OfIndex), OfIndex(press, shelf, [one.facet.name for one in shelves], left))
    for one, cards in chosen.items():
        if cards:
            files |= written(written_of(OfCollection), OfCollection(press, one, cards))
    return files


def render_search(words: Mapping[str, bytes]) -> dict[str, bytes]:
    """The index of all words; ``words`` are those of each piece, as its ``words.json`` has them, by slug."""
    return make_index(words)


def render_works(library: PublishedLibrary, pieces: Sequence[GalleryCard]) -> dict[str, bytes]:
    """The page of each work of which there are several ladders, stage beside stage."""
    press, files = press_of(library), dict[str, bytes]()
    for work in sorted({card.work for card in pieces if card.work}):
        files |= written(written_of(OfWork), OfWork(press, work, [card for card in pieces if card.work == work]))
    return files


def render_piece(library: PublishedLibrary, piece: PiecePage) -> dict[str, bytes]:
    """All pages and page data of a piece: it opens at the first stage of the ladder, and each stage has a page of its
    own that opens there. Raises ``ContentError`` for commentary that names bars or stages that are not there.
    """
    press = press_of(library)
    files = written(written_of(OfPiece), OfPiece(press, piece))
    for stage in piece.stages:
        files |= written(written_of(OfStage), OfStage(press, piece, stage))
    return files


def render_assignment(library: PublishedLibrary, page: AssignmentPage) -> dict[str, bytes]:
    """The page of an assignment and its calendar, with the list of what is kept of them without a connection."""
    files = written(written_of(OfAssignment), OfAssignment(press_of(library), page))
    digests = {path.removeprefix(page.folder): sha256(data).hexdigest() for path, data in files.items()}
    return files | written(written_of(OfFolder), OfFolder(page.folder, digests))


def render_week(library: PublishedLibrary, folder: str, pages: Sequence[AssignmentPage]) -> dict[str, bytes]:
    """The page of the week with all assignments, in its ``folder``, and what stands where unlisted pages lie."""
    ordered = sorted(pages, key=lambda page: (page.code, page.begins, page.folder))
    return written(written_of(OfWeek), OfWeek(press_of(library), folder, ordered))


def render_listing(library: PublishedLibrary, entries: Mapping[str, bytes]) -> dict[str, bytes]:
    """``site.json``; ``entries`` are what ``entry_of`` says of each piece, ``as_listed``, by slug."""
    return written(written_of(OfListing), OfListing(library, entries))


def render_lists(files: Mapping[str, str], folder: str = "") -> dict[str, bytes]:
    """The lists of a folder of the site, such as what is kept of it for use without a connection. ``files`` are the
    digests (SHA-256, in hexadecimal) of what lies in it, by their path in it."""
    return written(written_of(OfFolder), OfFolder(folder, files))
