"""The table of techniques. A technique is a function from the material to notes with provenance, and one row here:
its name, one line for the teacher and one for the pupil, its place on the ladders, and what may be said of its stages.
Each module of ``techniques`` adds its own rows, so that adding a technique touches one file."""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cache
from importlib import import_module

from sitegen.places.stages import plain
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks.groups import Remarks
from sitegen.reduction.techniques.rungs import Rung

Reduce = Callable[[Material], list[StageNote]]


@dataclass(frozen=True, slots=True)
class Technique:
    """A row of the table. ``on`` are its rungs, one for each ladder that has it; ``listen`` are the remarks on its
    stages, the most telling first, none where they are spoken of as a tune is. ``side_study`` marks what a teacher's
    own list has beside the ladder: a line alone, a hand alone."""

    name: str
    teacher: str
    pupil: str
    reduce: Reduce
    side_study: bool = False
    on: tuple[Rung, ...] = ()
    listen: Remarks = ()


_ROWS: dict[str, Technique] = {}


def technique(
    name: str,
    teacher: str,
    pupil: str,
    side_study: bool = False,
    on: tuple[Rung, ...] = (),
    listen: Remarks = (),
) -> Callable[[Reduce], Reduce]:
    """Enter the decorated function in the table. Raises ``ValueError`` for a name that is taken."""

    def enter(reduce: Reduce) -> Reduce:
        if name in _ROWS:
            raise ValueError(f"two techniques are called {name}")
        rungs = tuple(replace(rung, technique=name) for rung in on)
        _ROWS[name] = Technique(name, teacher, pupil, reduce, side_study, rungs, listen)
        return reduce

    return enter


@cache
def techniques() -> dict[str, Technique]:
    """All techniques by name, in the order of their names."""
    package = import_module("sitegen.reduction.techniques")
    for module in sorted(info.name for info in pkgutil.iter_modules(package.__path__)):
        import_module(f"{package.__name__}.{module}")
    return dict(sorted(_ROWS.items()))


def find_technique(name: str) -> str:
    """The technique that a teacher calls ``name``, in any case, with spaces or hyphens; empty where there is none."""
    return next((known for known in techniques() if plain(known) == plain(name)), "")


def join(*layers: Iterable[StageNote]) -> list[StageNote]:
    """Several layers as one: a note of the score that heads a note of an earlier layer does not head a second."""
    notes: list[StageNote] = []
    taken: set[str] = set()
    for layer in layers:
        fresh = [note for note in layer if note.sources[0] not in taken]
        notes.extend(fresh)
        taken.update(note.sources[0] for note in fresh)
    return notes
