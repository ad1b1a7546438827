"""What a published file is: where it lies, by which schema, and how it is written from what."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from sitegen.publishing.nouns import GalleryCard, Library, PiecePage, StagePage
from sitegen.publishing.press import Press


@dataclass(frozen=True, slots=True)
class OfSite:
    """What the files of the whole site are made from: the library, in its press, and the cards of its pieces."""

    press: Press
    cards: Sequence[GalleryCard]


@dataclass(frozen=True, slots=True)
class OfListing:
    """What the listing of the site is made from: the library, and the entry of each piece as it is listed, by slug."""

    library: Library
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


Source = TypeVar("Source", OfSite, OfListing, OfPiece, OfStage)


@dataclass(frozen=True, slots=True)
class PublishedFile(Generic[Source]):
    """A kind of file of the site.

    ``path`` gives its place below the site's root, ``write`` its bytes for that place; ``schema`` is the name of its
    JSON Schema, empty where it has none. A file that only some sites have is ``wanted`` there.
    """

    path: Callable[[Source], str]
    write: Callable[[Source, str], bytes]
    schema: str = ""
    wanted: Callable[[Source], bool] = lambda source: True


def written(kinds: Sequence[PublishedFile[Source]], source: Source) -> dict[str, bytes]:
    """The files of these kinds that are made from ``source``, by their path below the site's root."""
    return {path: kind.write(source, path) for kind in kinds if kind.wanted(source) for path in (kind.path(source),)}


def below_piece(name: str) -> Callable[[OfPiece], str]:
    """The path of the file called ``name`` of each piece."""
    return lambda source: f"pieces/{source.piece.slug}/{name}"
