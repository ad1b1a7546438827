"""The stretches of a piece by the texture of both hands, which decide what each rung of the ladder does there.

A row of the table names what the highest and the lowest staff of the hands do; the first row that fits decides.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass
from typing import Literal

from sitegen.reduction.material import Material
from sitegen.reduction.roles import FIGURES

Kind = Literal["melody", "figuration", "chords", "counterpoint", "runs"]

_CHORDS = frozenset({"chordal", "octave doubling", "repeated chords"})
_REST = frozenset({"silent", ""})
_ANY: frozenset[str] = frozenset()

# kind, what the upper staff does, what the lower one does (an empty set: anything)
_TABLE: tuple[tuple[Kind, frozenset[str], frozenset[str]], ...] = (
    ("counterpoint", frozenset({"contrapuntal"}), _ANY),
    ("runs", frozenset({"scale run"}), frozenset({"scale run", "octave doubling"}) | _REST),
    ("runs", frozenset({"octave doubling"}) | _REST, frozenset({"scale run"})),
    ("figuration", FIGURES, _ANY),
    ("figuration", _REST, FIGURES),
    # after the figures: held voices below a figure are its harmony
    ("counterpoint", _ANY, frozenset({"contrapuntal"})),
    ("chords", _CHORDS, _CHORDS | _REST),
    ("melody", _ANY, _ANY),
)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run of whole bars with one kind of texture, from ``onset`` on."""

    onset: int
    bars: int
    kind: Kind


def stretches(material: Material) -> tuple[Stretch, ...]:
    """The piece in stretches. A single bar between two of one kind goes with them; a silent bar goes on as before.

    A piece of counterpoint is one stretch: its voices are followed from the first bar to the last. In another, voices
    that move for a while accompany or sing, and have no subject.
    """
    if material.analysis.counterpoint is not None:
        return (Stretch(0, len(material.score.bars), "counterpoint"),)
    staves = [staff.number for staff in material.score.staves if staff.hand is not None] or [1]
    kinds: list[Kind] = []
    for bar in material.score.bars:
        # the middle of a bar speaks for it: what an upbeat or the end of a phrase does at its edges does not
        middle = bar.onset + bar.length // 2
        upper, lower = material.texture(staves[0], middle), material.texture(staves[-1], middle)
        silent = upper in _REST and lower in _REST
        kind = kinds[-1] if silent and kinds else _kind(upper, lower)
        kinds.append("melody" if kind == "counterpoint" else kind)
    for place in range(1, len(kinds) - 1):
        if kinds[place - 1] == kinds[place + 1]:
            kinds[place] = kinds[place - 1]
    found: list[Stretch] = []
    for bar, kind in zip(material.score.bars, kinds, strict=True):
        if found and found[-1].kind == kind:
            found[-1] = Stretch(found[-1].onset, found[-1].bars + 1, kind)
        else:
            found.append(Stretch(bar.onset, 1, kind))
    return tuple(found)


def main_kind(found: tuple[Stretch, ...]) -> Kind:
    """The kind that holds for most bars; of two, the one that comes first. ``melody`` for a piece without bars."""
    bars: Counter[Kind] = Counter()
    for stretch in found:
        bars[stretch.kind] += stretch.bars
    return max(bars, key=lambda kind: bars[kind]) if bars else "melody"


def kind_at(found: tuple[Stretch, ...], tick: int) -> Kind:
    """The kind of the stretch that holds ``tick``."""
    place = max(0, bisect_right(found, tick, key=lambda stretch: stretch.onset) - 1)
    return found[place].kind if found else "melody"


def _kind(upper: str, lower: str) -> Kind:
    for kind, above, below in _TABLE:
        if (not above or upper in above) and (not below or lower in below):
            return kind
    return "melody"
