"""What steps hand on that is no noun of another folder: small, so that a step knows no more than it needs."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sitegen.engraving.nouns import Sheet, System
from sitegen.places.nouns import BarName


class Outputs(dict[str, object]):
    """Several values of one step, by name: each is kept by itself, and only what changed makes other steps run."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A score file made ready, without its text: the notation that this is in, what had to be mended, and how many
    noteheads of each bar were counted in the file."""

    kind: str
    file: str
    warnings: tuple[str, ...] = ()
    counted: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class NoteIds:
    """The ids under which notes are drawn: ``notes`` lists those of all notes, ``tied`` for each note of several heads
    the ids of these."""

    notes: tuple[str, ...]
    tied: dict[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def all(self) -> frozenset[str]:
        """Every id that a drawing keeps."""
        return frozenset(self.notes).union(*self.tied.values())


@dataclass(frozen=True, slots=True)
class ScoreOutline:
    """A score at a glance: how many notes it has, what its bars are called, its tempo in quarters a minute."""

    notes: int
    bars: tuple[BarName, ...]
    tempo: float


@dataclass(frozen=True, slots=True)
class Asked:
    """What a teacher asks for in ``file``: entries of adjustments and stages with their lines, for a hand of ``span``
    semitones. ``own`` names the scores of her own that could be read; ``terms`` are the titles of stages in the
    library's language by their English ones."""

    file: str
    span: int
    adjustments: tuple[tuple[Any, int], ...] = ()
    stages: tuple[tuple[Any, int], ...] = ()
    own: tuple[str, ...] = ()
    terms: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SheetOutline:
    """A sheet without its drawing: its size, and what it holds."""

    width: float
    height: float
    systems: tuple[System, ...]

    @staticmethod
    def of(sheet: Sheet) -> SheetOutline:
        """What is left of a sheet without its drawing."""
        return SheetOutline(sheet.width, sheet.height, sheet.systems)


@dataclass(frozen=True, slots=True)
class Drawn:
    """The sheets of one layout in order; the drawing of each is a value by itself."""

    layout: str
    sheets: tuple[SheetOutline, ...]
