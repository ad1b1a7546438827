"""What is heard in a few bars: chords, keys, and where they change."""

from __future__ import annotations

from itertools import pairwise

from sitegen.analysis import analyse
from sitegen.analysis.harmony import find_harmonies
from sitegen.score import Score
from tests.notation import score_of


def covers(score: Score) -> bool:
    """Whether the harmonies fill the score from its start to its end without gap or overlap."""
    found = find_harmonies(score)
    return found[0].onset == 0 and found[-1].end == score.end and all(a.end == b.onset for a, b in pairwise(found))


def test_a_bar_of_rest_has_no_harmony():
    score = score_of(right="rw")
    assert covers(score)
    assert {h.pitch_classes for h in find_harmonies(score)} == {frozenset()}


def test_a_triad_is_itself():
    score = score_of(right="E4+G4+C5w", left="C3w")
    assert covers(score)
    assert (find_harmonies(score)[0].root, find_harmonies(score)[0].bass) == (0, 0)
    assert find_harmonies(score)[0].pitch_classes == {0, 4, 7}


def test_every_note_is_read():
    score = score_of(right="C5q D5q E5h", left="C3e G3 E3 G3 C3 G3 E3 G3")
    assert set(analyse(score).notes) == {note.id for note in score.notes}
