"""Bars that generated scores led to, cut down to the few notes that matter: what must become of them, whatever sense
the music makes."""

from __future__ import annotations

from dataclasses import replace

from sitegen.analysis import analyse
from sitegen.reduction import StageNote, build_ladder
from sitegen.reduction.ladder.nesting import kept
from sitegen.reduction.material.indexed import gather
from sitegen.reduction.techniques.registry import techniques
from sitegen.score import Metre
from tests.notation import score_of
from tests.reduction.invariants import violations
from tests.reduction.reading import line


def stage(technique: str, staff: int, right: str = "", left: str = "", metre: str = "4/4", key: int = 0) -> str:
    """What a technique makes of these bars in a staff, in one line; and their ladder is sound."""
    score = score_of(right, left, metre, key)
    analysis = analyse(score)
    assert violations(score, analysis, build_ladder(score, analysis)) == []
    return line(techniques()[technique].reduce(gather(score, analysis)), score, staff)


def test_what_comes_in_over_a_lower_note_that_its_hand_holds_takes_over_no_rest():
    left = "C2w~ | C2e. rs rq rh ; rw | rq. A3q. rq"
    assert stage("simple tune over blocked chords", 2, "rw | rw", left, "2/2") == "0 C2 6"


def test_a_chord_is_not_let_go_in_the_rest_after_which_it_is_struck():
    right, left = "rh. re3 A4e3 re3", "rh. D3e3 A2e3 re3"
    assert stage("harmonic rhythm", 2, right, left, "2/2", 2) == "2 D3 5/3"


def test_a_tune_that_is_the_bass_is_held_as_that():
    left = "C2w~ | C2e. rs rq rh ; rw | G2q. rq. re. E2s"
    assert stage("simple tune over blocked chords", 2, "rw | rw", left, "2/2") == "0 C2 6 | 4 G2 4"


def test_a_tune_on_the_key_that_the_bass_holds_goes_on_as_that_under_the_other_hand():
    left = "rq. C2q. | rh. | rh. ; C2h.~ | C2h. | rh."
    assert stage("outer voices", 2, "rh. | C4h. | rh.", left, "3/4") == "0 C2 6 | 2 C2 4"


def test_a_chord_of_two_voices_takes_over_no_rest_that_only_one_of_them_has():
    right = "rq C4+F5s rs re rq ; D4+F4q D4+A4e. rs rq"
    found = stage("complete melody over blocked chords", 1, right, "rh.", "6/8", 1)
    assert found == "0 D4+F4 1 | 1 C4+D4+A4+F5 1/2"


def test_a_chord_that_its_hand_holds_over_the_beat_comes_after_the_bass_on_that_beat():
    right = "rq E4e E4+F4q A5e | rh. | F5h. ; rq rs C5e. rs F5s D5e | rh. | rh."
    assert stage("harmonic rhythm", 1, right, "rh. | rh. | rh.", "3/4", -1) == "1 E4 1 | 2 E4+F4 1"


def test_a_tune_that_goes_through_two_voices_takes_over_no_rest_that_only_one_of_them_has():
    right = "B5q. re3 E5e3 re3 re ; rq. C5s re A5e G5s rs"
    assert stage("simple tune", 1, right, "rh.", "6/8", 1) == "0 B5 3/2 | 9/4 A5 3/4"


def test_a_chord_comes_not_after_its_bass_where_the_score_has_a_lower_note_under_it():
    left = "B2e B3h re C2e C#2+E#3e"
    # as the ladder has it nothing is struck at the end of the bar
    assert stage("simple tune over blocked chords", 2, "rq B5h.", left, "2/2", 3) == "0 B2+B3 2 | 3 C2+E#3 1"


def test_a_note_in_its_own_octave_keeps_no_other_though_another_hand_has_it():
    score = score_of("A5s rs re E5q ; E4q rq", "rh", metre="2/4")
    notes = {note.id: note for note in score.notes}
    assert kept([StageNote("", 0, 8, notes["E4"].pitch, 2, ("E4", "E5"), moved=True)], notes) == {"E4"}
    assert kept([StageNote("", 0, 8, notes["E5"].pitch, 2, ("E4", "E5"), moved=True)], notes) == {"E4", "E5"}


def test_a_bass_is_not_let_go_in_the_rest_after_which_it_is_struck():
    assert stage("bass line", 2, "E6h", "re D3s3 A2s3 rs3 rq", "2/4") == "0 D3 5/6"


def test_beats_are_counted_anew_after_a_bar_that_is_no_whole_number_of_them():
    score = score_of("C5q D5q. | rs G5e. E5q.", metre="5/8")
    score = replace(score, bars=tuple(replace(bar, metre=Metre(2, 4)) for bar in score.bars))
    tune = techniques()["simple tune"].reduce(gather(score, analyse(score)))
    assert line(tune, score, 1) == "0 C5 1 | 1 D5 3/2 | 5/2 G5 1 | 7/2 E5 1"


def test_what_comes_late_over_a_held_note_that_is_no_bass_is_not_struck_on_the_beat_without_it():
    left = "rq D2h ; D3q. A3q B3e | C2h."
    assert stage("harmonic rhythm", 2, "E5q F5q G5q | E5h.", left, "3/4") == "0 D3 3 | 3 C2 3"
