"""A newer version of a piece beside what its teacher made of the older one: whose file stands where."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Whose = Literal["theirs", "gone", "kept", "aside"]


@dataclass(frozen=True, slots=True)
class Merged:
    """What becomes of each file, by path. ``taken`` are theirs, new or in place of what the teacher had as it came;
    ``gone`` are no longer in the piece, ``kept`` she has changed and they have not, ``aside`` both have: hers
    stands."""

    taken: tuple[str, ...]
    gone: tuple[str, ...]
    kept: tuple[str, ...]
    aside: tuple[str, ...]


def merge(base: Mapping[str, str], mine: Mapping[str, str], theirs: Mapping[str, str]) -> Merged:
    """Whose file stands where, by the SHA-256 of each: of the version that ``mine`` was made from, of the teacher's
    folder, and of the newer version."""
    found = {path: _whose(base.get(path), mine.get(path), theirs.get(path)) for path in sorted({*base, *theirs})}

    def of(whose: Whose) -> tuple[str, ...]:
        return tuple(path for path, one in found.items() if one == whose)

    return Merged(of("theirs"), of("gone"), of("kept"), of("aside"))


def _whose(base: str | None, mine: str | None, theirs: str | None) -> Whose | None:
    if mine == theirs:
        return None
    if mine == base:
        return "theirs" if theirs is not None else "gone"
    return "kept" if theirs == base else "aside"
