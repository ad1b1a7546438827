"""How difficult a bar is: every part told exactly, so that its weight and its measure are seen."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.reduction.ladder.difficulty import difficulty
from sitegen.reduction.notes.striking import as_is
from sitegen.score import Score, Tempo
from tests.notation import score_of


def parts_of(score: Score) -> dict[str, float]:
    """The parts of a score's difficulty, at a quarter a second."""
    timed = replace(score, tempi=(Tempo(0, 60.0),))
    return dict(difficulty(timed, [as_is(note) for note in timed.notes]).parts)


@pytest.mark.parametrize(
    ("what", "right", "left", "expected"),
    [
        # four notes in four seconds, each counted once
        ("notes a second", "C5q D5 E5 D5", "", 1.0),
        # the hands strike together twice in four seconds
        ("hands together", "C5q D5 E5 D5", "C4h C4", 0.5),
        # an octave is four semitones beyond a minor sixth: a third of an octave, halved, in four seconds
        ("stretches", "C5+C6w", "", round(4 / 12 / 2 / 4, 3)),
        ("stretches", "C5+A5w", "", round(1 / 12 / 2 / 4, 3)),
        ("stretches", "C5+Ab5w", "", 0.0),
        # from the middle of one chord to the middle of the next
        ("leaps", "C5h C6", "", round(4 / 12 / 2 / 4, 3)),
        ("leaps", "C5h A5", "", round(1 / 12 / 2 / 4, 3)),
        ("leaps", "C5+E5h Ab5+C6", "", 0.0),
        # two notes in four seconds, halved
        ("accidentals", "C5q C#5 D5 Eb5", "", 0.25),
    ],
)
def test_each_part_of_the_difficulty_of_a_bar(what, right, left, expected):
    assert parts_of(score_of(right=right, left=left))[what] == expected


def test_a_bar_is_as_difficult_as_its_parts_together():
    score = score_of(right="C5q C6 C#5+C#6 C6", left="C3w")
    assert parts_of(score) == {
        "notes a second": 1.5,
        "hands together": 0.25,
        "stretches": 0.042,
        "leaps": 0.042,
        "accidentals": 0.25,
    }
