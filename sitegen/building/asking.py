"""A piece as the steps are given it: without the place where it lies, so that it makes no difference."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from sitegen.apart import USUAL, Limits
from sitegen.building.codec import to_bytes
from sitegen.building.scheduling import Plan
from sitegen.building.steps.nouns import Asked
from sitegen.building.steps.table import Call
from sitegen.building.store import Store
from sitegen.building.telling import Teller
from sitegen.checking import Finding
from sitegen.errors import SitegenError, each_fault
from sitegen.library import Piece, StudioMatter
from sitegen.publishing.nouns import PublishedLibrary


@dataclass(frozen=True, slots=True)
class Studio:
    """What all pieces share: the studio's fields, its words, what its pages show of it, a digest of the theme and the
    layouts that it shows, the names of all pieces, what the steps of one may take, and the works of which there are
    several ladders, by the slugs of these."""

    store: Store
    matter: StudioMatter
    teller: Teller
    page: PublishedLibrary
    theme: str
    layouts: tuple[str, ...]
    neighbours: frozenset[str]
    limits: Limits = USUAL
    works: Mapping[str, str] = field(default_factory=dict)

    def put(self, value: object) -> str:
        """The digest of a value, which is then in the store."""
        return self.store.put(to_bytes(value))


def without_place(piece: Piece) -> Piece:
    """The piece with its files by their names in its folder."""
    return replace(piece, file=Path(piece.file.name), score=Path(piece.matter.score))


def lines_of(piece: Piece) -> tuple[int, ...]:
    """The lines of the wishes. The steps are given their order in place of them, so that a line more above them makes
    nothing again."""
    return tuple(sorted({entry.line for entry in (*piece.adjustments, *piece.stages)}))


def asked_of(piece: Piece, own: Mapping[str, str], studio: Studio) -> Asked:
    """What the teacher asks for; ``own`` are the scores of hers that could be read."""
    lines = lines_of(piece)
    wished = bool(piece.adjustments or piece.stages)
    return Asked(
        piece.file.name,
        piece.matter.hand or studio.matter.hand,
        tuple((_plain(entry.value), lines.index(entry.line) + 1) for entry in piece.adjustments),
        tuple((_plain(entry.value), lines.index(entry.line) + 1) for entry in piece.stages),
        tuple(own),
        studio.teller.words.group("stage") if wished else {},
    )


def _plain(value: Any) -> Any:
    """A value of the front matter as JSON has it too: YAML allows keys that are no texts."""
    if isinstance(value, dict):
        return {str(name): _plain(one) for name, one in value.items()}
    return [_plain(one) for one in value] if isinstance(value, list) else value


def own_files(piece: Piece) -> list[tuple[str, int]]:
    """The names, and their lines, of the scores that the teacher gives as stages of her own."""
    entries = [(s.value, s.line) for s in piece.stages if isinstance(s.value, dict)]
    return [(str(value["file"]), line) for value, line in entries if value.get("file")]


def called(call: Call, piece: Piece, lines: tuple[int, ...] = ()) -> Plan:
    """What a call gives. Its faults are raised with their files where they lie, and with ``lines`` in place of the
    order of the wishes."""
    try:
        (made,) = yield [call]
    except SitegenError as error:
        placed(error, piece, lines)
        raise
    return made


def placed(error: SitegenError, piece: Piece, lines: tuple[int, ...] = ()) -> SitegenError:
    """An error of a step, with the place where the piece lies."""
    for fault in each_fault(error):
        if fault.file is not None:
            if str(fault.file) == piece.file.name and fault.line is not None and lines:
                fault.line = lines[fault.line - 1]
            fault.file = piece.folder / fault.file
    return error


def placed_finding(finding: Finding, piece: Piece) -> Finding:
    """A finding of a step with its file where it lies."""
    return replace(finding, file=str(piece.folder / finding.file))
