"""Names of notes, keys and bars as a sentence says them."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Sentence, StageNote
from sitegen.score import Pitch

_SIGNS = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}


def name(pitch: Pitch) -> str:
    """A pitch without its octave: ``F sharp``."""
    return pitch.step + _SIGNS.get(pitch.alter, "")


def key_name(key: str) -> str:
    """``F# minor`` as ``F sharp minor``."""
    tonic, _, mode = key.partition(" ")
    return f"{tonic[:1]}{_SIGNS[tonic.count('#') - tonic[1:].count('b')]} {mode}"


def bar_of(material: Material, tick: int) -> str:
    """The printed number of the bar that holds ``tick``."""
    return material.score.bar_at(tick).number


def say(message: str, **fields: str) -> Sentence:
    """A sentence with its fields in the order of their names."""
    return Sentence(message, tuple(sorted(fields.items())))


def step_run(line: Sequence[StageNote], least: int) -> tuple[int, int, int] | None:
    """The longest run of a line that moves by step in one direction, of ``least`` notes or more: the places of its
    first and last note, and 1 for up or -1 for down. The first of several."""
    best: tuple[int, int, int] | None = None
    start, direction = 0, 0
    for place in range(1, len(line) + 1):
        move = line[place].pitch.diatonic - line[place - 1].pitch.diatonic if place < len(line) else 0
        if move in (1, -1) and move == direction:
            continue
        length = place - start
        if direction and length >= least and (best is None or length > best[1] - best[0] + 1):
            best = (start, place - 1, direction)
        start, direction = (place - 1, move) if move in (1, -1) else (place, 0)
    return best
