"""Other libraries joined to a studio's: folders and bundles that ``studio.yaml`` lists, each under a name of its own.

Their pieces are checked and built like the studio's. Their addresses begin with the library's name and two hyphens,
which no address of the studio's own pieces has, so equal names are kept apart. What is wrong with one library, or
cannot be read of it, is a fault of that one.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from sitegen.errors import ContentError, SitegenError, each_fault
from sitegen.library import AtPlace, Library, Piece, load_library, load_studio
from sitegen.library.folders import meant_for_pieces
from sitegen.library.matter import LibraryMatter, StudioMatter
from sitegen.library.nouns import Origin
from sitegen.sharing.examining import refuse_harm, write_files
from sitegen.sharing.reading import read_bundle

STUDIO = "studio.yaml"
MOST_UNPACKED = 500
SHELF = "bundles"
"""The folder, beside what a build keeps, in which bundles lie unpacked, each under its digest."""


def places_joined(content: Path) -> dict[str, Path]:
    """Where the libraries lie that the studio of ``content`` lists, by name; what is at fault is told in reading it."""
    return _places(content, load_studio(content))


def joined(library: Library, shelf: Path, known: Mapping[str, AtPlace]) -> Library:
    """``library`` with the pieces of all libraries that its studio lists. Bundles are unpacked into the folder
    ``shelf``. What is ``known`` to lie at some places is not read again."""
    _tidy(shelf)
    for name, place in _places(library.root, library.studio).items():
        entry = next(one for one in library.studio.libraries if one.name == name)
        try:
            library = _with(library, _read(entry, place, library.root, shelf, known), name)
        except (SitegenError, OSError) as error:
            library = replace(
                library,
                faults=(*library.faults, *_faults(error, place)),
                unread=library.unread | {prefix_of(name)},
            )
    return library


def _tidy(shelf: Path) -> None:
    """Of bundles that were unpacked keep those used last; one that is needed again is unpacked again."""
    with suppress(OSError):
        by_use = sorted(shelf.iterdir(), key=lambda place: place.stat().st_mtime, reverse=True)
        for place in by_use[MOST_UNPACKED:]:
            shutil.rmtree(place, ignore_errors=True)


def prefix_of(name: str) -> str:
    """What stands before the names of the pieces of a library in addresses."""
    return f"{name}--"


def _places(content: Path, studio: StudioMatter) -> dict[str, Path]:
    """By name; of two libraries of one name the first counts."""
    return {one.name: content / one.place for one in reversed(studio.libraries)}


@dataclass(frozen=True, slots=True)
class _Joined:
    """A library as it was read: the folder that its pieces lie in, what lies at its places, by their names as the
    studio knows them, and what is wrong with it as a whole."""

    root: Path
    places: Mapping[str, AtPlace]
    faults: tuple[ContentError, ...] = ()


def _read(entry: LibraryMatter, place: Path, content: Path, shelf: Path, known: Mapping[str, AtPlace]) -> _Joined:
    """The library of an entry of ``studio.yaml``. Raises ``SitegenError`` where it cannot be read at all."""
    below = f"{entry.name}/"
    if place.is_file():
        return _of_bundle(entry, place, shelf)
    if place.is_dir() and place.resolve() == content.resolve():
        raise ContentError("is this library itself", "List other libraries under 'libraries:'.", place)
    if not place.is_dir():
        remedy = "Under 'libraries:' name a folder or a bundle, as it is found from studio.yaml on."
        raise ContentError("there is no such library", remedy, place)
    mine = {name.removeprefix(below): there for name, there in known.items() if name.startswith(below)}
    theirs = load_library(place, mine)
    titled = " · ".join(part for part in (theirs.studio.title, theirs.studio.teacher) if part)
    origin = Origin(entry.name, entry.credit or titled)
    at_places = {below + name: _from(there, origin) for name, there in theirs.places.items()}
    told = {id(fault) for there in theirs.places.values() for fault in (*there.faults, *there.warnings)}
    # a library without a studio.yaml is one all the same: its name and its credit are the studio's to give
    whole = [f for f in theirs.faults if id(f) not in told and not (f.file == place / STUDIO and "missing" in f.what)]
    return _Joined(place, at_places, tuple(whole))


def _of_bundle(entry: LibraryMatter, file: Path, shelf: Path) -> _Joined:
    """The piece of a bundle, unpacked where it is not yet. Raises ``ContentError`` for a bundle that ``unpack`` would
    refuse; its scores are read where all are."""
    bundle = read_bundle(file)
    folder = shelf / bundle.manifest.digest / bundle.manifest.name
    if not all((folder / path).is_file() and (folder / path).read_bytes() == d for path, d in bundle.files.items()):
        shelf.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=shelf, prefix=".") as made:
            write_files(dict(bundle.files), Path(made) / bundle.manifest.digest / bundle.manifest.name)
            shutil.rmtree(folder.parent, ignore_errors=True)
            with suppress(OSError):  # another build has put it there meanwhile
                (Path(made) / bundle.manifest.digest).rename(folder.parent)
    os.utime(folder.parent)
    refuse_harm(bundle, folder, file)
    studios = bundle.manifest.studios
    origin = Origin(entry.name, entry.credit or " · ".join(studios) or file.name)
    theirs = load_library(folder.parent)
    there = theirs.places.get(folder.name, AtPlace(()))
    return _Joined(folder.parent, {f"{entry.name}/{file.name}": _from(there, origin)})


def _from(there: AtPlace, origin: Origin) -> AtPlace:
    return replace(there, pieces=tuple(_with_origin(piece, origin) for piece in there.pieces))


def _with_origin(piece: Piece, origin: Origin) -> Piece:
    slug = piece.slug if piece.origin else prefix_of(origin.name) + piece.slug
    return replace(piece, slug=slug, origin=origin)


def _with(library: Library, read: _Joined, name: str) -> Library:
    at_places = read.places
    pieces = {piece.slug: piece for piece in library.pieces}
    twice: list[ContentError] = []
    for there in at_places.values():
        for piece in there.pieces:
            other = pieces.setdefault(piece.slug, piece)
            if other is not piece:
                remedy = "Rename one of them: signs and accents do not count."
                twice.append(ContentError(f"has the same address as {other.file}", remedy, piece.file))
    meant = {prefix_of(name) + slug for slug in meant_for_pieces(read.root)}
    return replace(
        library,
        pieces=tuple(pieces[slug] for slug in sorted(pieces)),
        places={**library.places, **at_places},
        faults=(*library.faults, *read.faults, *twice, *(f for there in at_places.values() for f in there.faults)),
        warnings=(*library.warnings, *(f for there in at_places.values() for f in there.warnings)),
        meant=library.meant | meant,
        joined={**library.joined, name: read.root},
    )


def _faults(error: SitegenError | OSError, place: Path) -> Iterator[ContentError]:
    if isinstance(error, OSError):
        yield ContentError(f"cannot be read: {error.strerror}", "Check its rights.", place)
        return
    for fault in each_fault(error):
        yield ContentError(fault.what, fault.remedy, fault.file or place, fault.line, fault.bar)
