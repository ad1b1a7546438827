"""A tune and the chords under it, in the stages that are without some of its notes."""

from __future__ import annotations

from typing import Any

from sitegen.score import Score
from tests.notation import score_of
from tests.reduction.reading import line, material, reduced

LEFT = "C3h C3h"


def over(technique: str, score: Score, chords: str, **said: Any) -> str:
    return line(reduced(technique, material(score, chords, **said)), score)


def test_octaves_of_the_tune_come_and_go_with_it():
    # the lower A does not stay under the G to which the upper one resolves
    score = score_of(right="A4+A5e G4+G5q. E4+E5h", left=LEFT)
    functions = {"A5": "appoggiatura > G5", "A4": "appoggiatura > G4"}
    said = {"chords": "CEG:4", "functions": functions}
    assert over("simple tune over blocked chords", score, **said) == "0 G5 2 | 2 E5 2"
    assert over("complete melody over blocked chords", score, **said) == "0 A4+A5 1/2 | 1/2 G4+G5 3/2 | 2 E4+E5 2"


def test_an_octave_in_a_whole_chord_belongs_to_the_chord():
    score = score_of(right="C4+E4+G4+C5h B3+D4+G4+B4h", left=LEFT)
    found = over("simple tune over blocked chords", score, "CEG:2 GBD:2")
    assert found == "0 C4+E4+G4+C5 2 | 2 B3+D4+G4+B4 2"


def test_a_figure_below_the_tune_is_blocked_with_its_first_note_an_octave_below():
    score = score_of(right="C5h B4h ; C4e E4 G4 E4 B3e D4 G4 D4", left=LEFT)
    found = over("simple tune over blocked chords", score, "CEG:2 GBD:2")
    assert found == "0 C4+E4+G4+C5 2 | 2 B3+D4+G4+B4 2"


def test_a_leaning_note_is_not_struck_with_its_goal_below_it():
    # the figure has both: what it leans on is the chord
    score = score_of(right="D5q. C5e C5h ; re D4e A4 C4 re E4e A4 C4", left="A3h A3h")
    said = {"chords": "ACE:4", "functions": {"D5": "appoggiatura > C5"}}
    assert over("simple tune over blocked chords", score, **said).startswith("0 C4+A4+C5 2")
    for name in ("leaning notes", "complete melody over blocked chords"):
        assert over(name, score, **said).startswith("0 D5 3/2 | 0 C4+A4 2 | 3/2 C5 1/2")


def test_where_the_whole_chord_leans_the_tune_leans_with_it():
    # a dominant over the bass of the tonic: only the tune by itself goes at once to its goal
    score = score_of(right="B4h A4h ; D4+G#4h C4+E4h", left="A2w")
    said = {"chords": "ACE:4", "functions": {"B4": "appoggiatura > A4"}}
    assert over("simple tune over blocked chords", score, **said) == "0 D4+G#4+B4 2 | 2 C4+E4+A4 2"
    assert over("simple tune", score, **said) == "0 A4 4"


def test_what_is_struck_with_the_tune_has_its_time():
    score = score_of(right="E4+G4s A4 G4 A4 G4q r r", left="C3q C3 C3h")
    said = {"chords": "CEG:4"}
    assert over("simple tune over blocked chords", score, **said).startswith("0 E4+G4 2")


def test_a_chord_that_hangs_over_for_less_than_a_beat_ends_before():
    score = score_of(right="E5w | E5w", left="C4+E4h D4+F4h~ | D4+F4e rq. C4+E4h")
    found = line(reduced("blocked chords", material(score, "CEG:8")), score, 2)
    assert found.startswith("0 C4+E4 2 | 2 D4+F4 2 | 6")


def test_a_note_struck_just_before_the_bar_line_is_sung_in_the_bar_into_which_it_is_tied():
    score = score_of(right="C5q A4e. A4s~ | A4e A4e A4q", left="A2h | A2h", metre="2/4")
    found = line(reduced("simple tune", material(score, "ACE:4")), score)
    assert found.startswith("0 C5 1 | 1 A4 1 | 2 A4 ")
