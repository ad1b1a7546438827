"""The table of techniques. A technique is a function from the material to notes with provenance, and one row here:
its name, one line for the teacher and one for the pupil. Each module of ``techniques`` adds its own rows, so that
adding a technique touches one file."""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from importlib import import_module

from sitegen.places.stages import plain
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote

Reduce = Callable[[Material], list[StageNote]]


@dataclass(frozen=True, slots=True)
class Technique:
    """A row of the table. ``side_study`` marks what leaves the ladder: a line alone, a hand alone."""

    name: str
    teacher: str
    pupil: str
    reduce: Reduce
    side_study: bool = False


_ROWS: dict[str, Technique] = {}


def technique(name: str, teacher: str, pupil: str, side_study: bool = False) -> Callable[[Reduce], Reduce]:
    """Enter the decorated function in the table. Raises ``ValueError`` for a name that is taken."""

    def enter(reduce: Reduce) -> Reduce:
        if name in _ROWS:
            raise ValueError(f"two techniques are called {name}")
        _ROWS[name] = Technique(name, teacher, pupil, reduce, side_study)
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
