"""What a published file is: where it lies, by which schema, what it is made from, and by whom it is written.

Whether one is up to date goes by what it is made from: a page by the data of the page, in the step that prints it, and
what a step made by the digest of its bytes. Where the bytes are the same nothing is written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from sitegen.publishing.browsing.facets import Shelf
from sitegen.publishing.cards import GalleryCard
from sitegen.publishing.nouns import PiecePage, PublishedCollection, PublishedLibrary, StagePage
from sitegen.publishing.press import Press
from sitegen.publishing.set_work import OfAssignment, OfWeek


@dataclass(frozen=True, slots=True)
class OfSite:
    """What the files of the whole site are made from: the library, in its press, the cards of its pieces, and
    its collections."""

    press: Press
    cards: Sequence[GalleryCard]
    collections: Sequence[PublishedCollection] = ()


@dataclass(frozen=True, slots=True)
class OfIndex:
    """What an index page is made from: the pieces by the choices of one facet, the names of all facets that have such a
    page, and the pieces that this facet says nothing of."""

    press: Press
    shelf: Shelf
    indexes: Sequence[str]
    left: Sequence[GalleryCard]


@dataclass(frozen=True, slots=True)
class OfCollection:
    """What the page of a collection is made from; ``cards`` are those of its pieces, in its order."""

    press: Press
    collection: PublishedCollection
    cards: Sequence[GalleryCard]


@dataclass(frozen=True, slots=True)
class OfWork:
    """What the page of a work is made from: the cards of its ladders."""

    press: Press
    work: str
    cards: Sequence[GalleryCard]


@dataclass(frozen=True, slots=True)
class OfListing:
    """What the listing of the site is made from: the library, and the entry of each piece as it is listed, by slug."""

    library: PublishedLibrary
    entries: Mapping[str, bytes]


@dataclass(frozen=True, slots=True)
class OfPiece:
    """What the files of a piece are made from."""

    press: Press
    piece: PiecePage


@dataclass(frozen=True, slots=True)
class OfStage:
    """What the files of one stage of a piece are made from."""

    press: Press
    piece: PiecePage
    stage: StagePage


@dataclass(frozen=True, slots=True)
class OfFolder:
    """What the list of a folder is made from: the digests of its files, by their path in it. ``folder`` is empty for
    the site's own files, else it ends with a slash."""

    folder: str
    files: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class OfMusic:
    """What steps made of the music of a piece: the digest of its analysis."""

    piece: str
    analysis: str


@dataclass(frozen=True, slots=True)
class OfPlayed:
    """What steps made of one stage of a piece: the digests of its MIDI file and its MusicXML."""

    piece: str
    stage: str
    midi: str
    musicxml: str


@dataclass(frozen=True, slots=True)
class OfSheet:
    """A sheet that a step drew: the ``number``-th of a layout of a stage."""

    piece: str
    stage: str
    layout: str
    number: int
    drawing: str


@dataclass(frozen=True, slots=True)
class OfPicture:
    """Bars that a step drew: those of an excerpt by its ``number``, or the first bars of the piece (0)."""

    piece: str
    number: int
    drawing: str


@dataclass(frozen=True, slots=True)
class OfCardPicture:
    """The picture that stands for a piece elsewhere: its digest."""

    piece: str
    picture: str


@dataclass(frozen=True, slots=True)
class OfAttachment:
    """A file that the teacher gives with a piece: where it shall lie below the folder of the piece, and its digest."""

    piece: str
    path: str
    data: str


Source = TypeVar(
    "Source",
    OfSite,
    OfIndex,
    OfCollection,
    OfWork,
    OfListing,
    OfPiece,
    OfStage,
    OfFolder,
    OfAssignment,
    OfWeek,
)
Made = TypeVar("Made", OfMusic, OfPlayed, OfSheet, OfPicture, OfCardPicture, OfAttachment)


@dataclass(frozen=True, slots=True)
class PublishedFile(Generic[Source]):
    """A kind of file of the site, made from data of the type ``of``.

    ``path`` gives its place below the site's root, ``write`` its bytes for that place; ``schema`` is the name of its
    JSON Schema, empty where it has none. A file that only some sites have is ``wanted`` there.
    """

    of: type[Source]
    path: Callable[[Source], str]
    write: Callable[[Source, str], bytes]
    schema: str = ""
    wanted: Callable[[Source], bool] = lambda source: True


@dataclass(frozen=True, slots=True)
class TakenFile(Generic[Made]):
    """A kind of file of the site whose bytes a step made, or the teacher gave: ``digest`` says which. Else as
    ``PublishedFile``."""

    of: type[Made]
    path: Callable[[Made], str]
    digest: Callable[[Made], str]
    schema: str = ""


def written(kinds: Iterable[PublishedFile[Source]], source: Source) -> dict[str, bytes]:
    """The files of these kinds that are made from ``source``, by their path below the site's root."""
    return {path: kind.write(source, path) for kind in kinds if kind.wanted(source) for path in (kind.path(source),)}


def taken(kinds: Iterable[TakenFile[Made]], sources: Iterable[Made]) -> dict[str, str]:
    """The digests of the files of these kinds, by their path below the site's root."""
    return {kind.path(source): kind.digest(source) for source in sources for kind in kinds}


def folder_of(piece: str) -> str:
    """Where the files of a piece lie below the site's root."""
    return f"pieces/{piece}/"


def address_of(piece: PiecePage, library: PublishedLibrary) -> str:
    """The address of the folder of a piece on the web; empty where that of the site is not known."""
    return f"{library.address.rstrip('/')}/{piece.place or folder_of(piece.slug)}" if library.address else ""


def below_piece(name: str) -> Callable[[OfPiece], str]:
    """The path of the file called ``name`` of each piece."""
    return lambda source: folder_of(source.piece.slug) + name


def stage_file(stage: str, name: str) -> str:
    """Where a file of a stage lies below the folder of its piece."""
    return f"stages/{stage}/{name}"
