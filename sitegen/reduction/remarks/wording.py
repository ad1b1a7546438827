"""Names of notes, keys, intervals and bars as a sentence says them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sitegen.fifths import signature_alter
from sitegen.places.naming import first_of_whole
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Sentence, StageNote
from sitegen.score import Bar, Pitch

MOST_BARS = 5  # that a sentence lists
_SIGNS = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}
INTERVALS = (
    "", "a second", "a third", "a fourth", "a fifth", "a sixth", "a seventh", "an octave", "a ninth", "a tenth",
    "an eleventh", "a twelfth", "", "", "two octaves",
)  # fmt: skip
"""By steps of the staff; without a name where pupils know none."""


def name(pitch: Pitch, signed: bool = False) -> str:
    """A pitch without its octave: ``F sharp``; with its natural sign too where it is ``signed``: ``F natural``."""
    return pitch.step + (" natural" if signed and not pitch.alter else _SIGNS.get(pitch.alter, ""))


def key_name(key: str) -> str:
    """``F# minor`` as ``F sharp minor``."""
    tonic, _, mode = key.partition(" ")
    return f"{tonic[:1]}{_SIGNS[tonic.count('#') - tonic[1:].count('b')]} {mode}"


def interval(one: Pitch, other: Pitch) -> str:
    """``a sixth``, whichever is higher; empty for a unison and for what has no everyday name."""
    steps = abs(one.diatonic - other.diatonic)
    return INTERVALS[steps] if steps < len(INTERVALS) else ""


def way(first: StageNote, last: StageNote) -> str:
    """``up`` or ``down``, from one note to the next."""
    return "up" if last.midi > first.midi else "down"


def bar_of(material: Material, tick: int) -> str:
    """The printed number of the bar that holds ``tick``: that of its first half where a repeat sign divides it."""
    score = material.score
    return score.bars[first_of_whole(score.bars, score.bar_at(tick).index, score.ticks_per_quarter)].number


def listed(texts: Sequence[str]) -> str:
    """``2, 3 and 4``."""
    return " and ".join(filter(None, (", ".join(texts[:-1]), texts[-1])))


def outside(pitch: Pitch, bar: Bar) -> bool:
    """Whether the key signature of ``bar`` has the letter of ``pitch`` otherwise."""
    return pitch.alter != signature_alter(pitch.step, bar.fifths)


def say(message: str, **fields: str) -> Sentence:
    """A sentence with its fields in the order of their names."""
    return Sentence(message, tuple(sorted(fields.items())))


def over_bars(material: Material, message: str, start: int, end: int, **fields: str) -> Sentence:
    """``message`` from the bar of one tick to the bar of another; ``<message> in bar`` where they are one."""
    bar, to_bar = bar_of(material, start), bar_of(material, end)
    if bar == to_bar:
        return say(f"{message} in bar", bar=bar, **fields)
    return say(message, bar=bar, to_bar=to_bar, **fields)


def only(values: Iterable[tuple[int, StageNote]]) -> StageNote | None:
    """The note of the greatest value, unless two have it, or there is no other."""
    ranked = sorted(values, key=lambda pair: -pair[0])
    if len(ranked) < 2 or ranked[1][0] == ranked[0][0]:
        return None
    return ranked[0][1]


def runs(moves: Sequence[int], least: int) -> list[tuple[int, int, int]]:
    """Stretches of equal moves other than 0, ``least`` or more: the places of the first and the last note, and the
    move; the longest first."""
    found, start = [], 0
    for place in range(1, len(moves) + 1):
        if place == len(moves) or moves[place] != moves[start]:
            if moves[start] and place - start >= least:
                found.append((start, place, moves[start]))
            start = place
    return sorted(found, key=lambda run: (run[0] - run[1], run[0]))
