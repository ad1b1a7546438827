"""The pieces of the last build: what was read and made of those that need not be looked at again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from sitegen.building.codec import FormError, from_bytes, to_bytes
from sitegen.building.joining import works_in
from sitegen.building.pieces import MadePiece
from sitegen.building.records import Seen
from sitegen.building.steps.faults import Fault, errors_of, faults_of
from sitegen.building.store import Store
from sitegen.checking import Finding
from sitegen.errors import ContentError
from sitegen.library import AtPlace, Library, Piece
from sitegen.library.links import piece_meant
from sitegen.library.references import read_references
from sitegen.library.wording import WORDS

STUDIO = "studio.yaml"


@dataclass(frozen=True, slots=True)
class PlaceRecord:
    """What lies at a place of the content folder."""

    pieces: tuple[Piece, ...]
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class PieceRecord:
    """A piece of the last build: what was found in it, its ``card`` as the store has it (empty for one that was not
    published), to which pieces it ``leads``, each with whether it was there, and the ``work`` of which there were other
    ladders. Its files and its entry in the listing
    are those of the site that stands."""

    place: str
    findings: tuple[Finding, ...]
    card: str
    leads: Mapping[str, bool]
    work: str = ""

    @property
    def is_published(self) -> bool:
        """Whether its pages are part of the site."""
        return bool(self.card)


@dataclass(frozen=True, slots=True)
class Memory:
    """The pieces of the last build, the parts of the code of each step by its name, and of the pieces that were set
    what they are ``at_a_glance`` (``assignments.py``)."""

    places: Mapping[str, PlaceRecord] = field(default_factory=dict)
    pieces: Mapping[str, PieceRecord] = field(default_factory=dict)
    code: Mapping[str, dict[str, str]] = field(default_factory=dict)
    at_a_glance: Mapping[str, str] = field(default_factory=dict)

    def unchanged_places(self, before: Seen | None, now: Seen) -> dict[str, AtPlace]:
        """What is known to lie at places where nothing changed since ``before``."""
        if before is None or before.program != now.program:
            return {}
        return {
            name: AtPlace(there.pieces, _content_errors(there.faults), _content_errors(there.warnings))
            for name, there in self.places.items()
            if before.places.get(name) == now.places.get(name)
        }

    def unchanged_pieces(self, before: Seen | None, now: Seen, library: Library) -> dict[str, PieceRecord]:
        """The pieces of ``library`` of which all that they are made from is as it was."""
        if (
            before is None
            or not before.has_same_program(now)
            or any(before.places.get(name) != now.places.get(name) for name in (STUDIO, WORDS))
        ):
            return {}
        slugs, works = library.slugs, works_in(library)
        return {
            piece.slug: known
            for piece in library.pieces
            if (known := self.pieces.get(piece.slug)) is not None
            and all(before.places.get(name) == now.places.get(name) for name in (known.place, _studio_of(piece)))
            and piece in library.places[known.place].pieces
            and works.get(piece.slug, "") == known.work
            and all((name in slugs) == there for name, there in known.leads.items())
        }


def _studio_of(piece: Piece) -> str:
    """The place of the ``studio.yaml`` of its library, in which who is named for it stands."""
    return f"{piece.origin.name}/{STUDIO}" if piece.origin else STUDIO


def load_memory(store: Store, name: str) -> Memory:
    """What is remembered of the last build of this name; nothing where that cannot be read."""
    data = store.note(f"pieces/{name}")
    try:
        return from_bytes(data, Memory) if data and not store.fresh else Memory()
    except FormError:
        return Memory()


def keep_memory(
    store: Store,
    name: str,
    library: Library,
    made: Mapping[str, MadePiece],
    before: Mapping[str, PieceRecord],
    code: Mapping[str, dict[str, str]],
    at_a_glance: Mapping[str, str],
) -> None:
    """Remember a build for the next; ``before`` are the records of pieces that it did not look at. What is at fault for
    a reason that may pass is not remembered, so that it is looked at again."""
    places = {
        place: PlaceRecord(
            there.pieces,
            tuple(fault for error in there.faults for fault in faults_of(error)),
            tuple(fault for error in there.warnings for fault in faults_of(error)),
        )
        for place, there in library.places.items()
    }
    works = works_in(library)
    pieces = {
        piece.slug: before.get(piece.slug)
        or replace(_record_of(piece, place, made[piece.slug], library, store), work=works.get(piece.slug, ""))
        for place, there in library.places.items()
        for piece in there.pieces
        if piece.slug in before or (piece.slug in made and not made[piece.slug].passing)
    }
    store.write_note(f"pieces/{name}", to_bytes(Memory(places, pieces, code, at_a_glance)))


def _record_of(piece: Piece, place: str, made: MadePiece, library: Library, store: Store) -> PieceRecord:
    leads = {to: to in library.slugs for to in _leads(piece)}
    return PieceRecord(place, made.findings, store.get(made.card).decode() if made.is_published else "", leads)


def _leads(piece: Piece) -> set[str]:
    """The pieces to which a commentary leads; one that cannot be read leads nowhere."""
    try:
        references = read_references(piece.commentary, piece.commentary_line)[0]
    except ContentError:
        return set()
    return {named for reference in references if (named := piece_meant(reference, piece)) is not None}


def _content_errors(faults: tuple[Fault, ...]) -> tuple[ContentError, ...]:
    return tuple(error for error in errors_of(faults) if isinstance(error, ContentError))
