"""The bass sounds on through the chords that answer it, and moves where it is struck anew."""

from sitegen.analysis.harmony.afterbeats import keep_the_bass
from tests.analysis.chords import chords_of
from tests.notation import score_of


def basses(left: str, chords: str) -> list[tuple[int, int]]:
    """(onset in quarters, bass as a pitch class) of each harmony that is left."""
    score = score_of(left=left, metre="3/4")
    kept = keep_the_bass(score, chords_of(score, chords))
    return [(h.onset // score.ticks_per_quarter, h.bass or 0) for h in kept]


def test_the_chord_of_a_waltz_bass_is_no_new_bass():
    assert basses("C3q E3+G3 E3+G3", "C:1 C/E:2") == [(0, 0)]


def test_a_new_low_note_in_the_next_bar_is_a_new_bass():
    assert basses("C3q E3+G3 E3+G3 | E2q G3+C4 G3+C4", "C:1 C/E:5") == [(0, 0), (3, 4)]


def test_a_bass_that_walks_alone_does_change():
    assert basses("C3q E3 G3", "C:1 C/E:2") == [(0, 0), (1, 4)]


def test_a_lower_note_under_the_chord_is_a_new_bass():
    assert basses("C3q E2+G3 E3+G3", "C:1 C/E:2") == [(0, 0), (1, 4)]


def test_another_chord_keeps_its_own_bass():
    assert basses("C3q D3+G3 D3+G3", "C:1 G/D:2") == [(0, 0), (1, 2)]


def test_the_middle_note_of_an_alberti_figure_is_no_bass():
    assert basses("C3e G3 E3 G3 C3 G3", "C:1 C/E:1 C:1") == [(0, 0)]


def test_a_figure_that_falls_to_a_lower_note_has_a_new_bass():
    assert basses("E3e G3 C3 G3 C3 G3", "C/E:1 C:2") == [(0, 4), (1, 0)]
