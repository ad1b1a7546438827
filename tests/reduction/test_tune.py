"""The tune on its levels: whose time goes where."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.reduction.melody.half_bars import units_of
from sitegen.score import Score
from tests.notation import score_of
from tests.reduction.reading import line, material, reduced


def of(score: Score, technique: str, chords: str, **said) -> str:
    return line(reduced(technique, material(score, chords, **said)), score)


def simple(right, chords, left="", metre="4/4", **said):
    return of(score_of(right=right, left=left, metre=metre), "simple tune", chords, **said)


def test_a_note_that_leans_on_a_step_gives_its_time_forward():
    assert simple("D5q C5 G5h | F5q E5 C5h", "CEG:8", "C4w | C4w") == "0 C5 2 | 2 G5 2 | 4 E5 2 | 6 C5 2"


def test_a_passing_note_between_the_beats_gives_its_time_backward():
    assert simple("C5e D5 E5 F5 G5h", "CEG:4", "C4w") == "0 C5 1 | 1 E5 1 | 2 G5 2"


def test_a_passing_note_on_a_weak_beat_that_leads_to_a_stronger_one_does_not_lean():
    assert simple("C5q D5 E5h", "CEG:4", "C4w") == "0 C5 2 | 2 E5 2"


def test_the_goal_of_a_tied_suspension_stands_from_the_bar_line():
    score = score_of(right="G5h E5h~ | E5q D5h G5q", left="C4w B3w")
    functions = {"E5": "suspension > D5"}
    assert of(score, "simple tune", "CEG:4 GBD:4", functions=functions) == "0 G5 2 | 2 E5 2 | 4 D5 3 | 7 G5 1"
    assert of(score, "leaning notes alone", "CEG:4 GBD:4", functions=functions) == ("0 G5 2 | 2 E5 3 | 5 D5 2 | 7 G5 1")


def test_a_scale_is_its_notes_on_the_beats():
    assert simple("C5e D5 E5 F5 G5 A5 B5 C6", "CEG:4", "C3w") == "0 C5 1 | 1 E5 1 | 2 G5 1 | 3 B5 1"


def test_a_short_upbeat_is_left_out_and_one_of_a_beat_is_kept():
    assert simple("G4e | C5q E5 G5h", "CEG:9/2", "re | C4w") == "1/2 C5 1 | 3/2 E5 1 | 5/2 G5 2"
    assert simple("G4q | C5q E5 G5h", "CEG:5", "rq | C4w") == "0 G4 1 | 1 C5 1 | 2 E5 1 | 3 G5 2"


def test_a_short_note_touched_between_two_of_one_pitch_is_left_out():
    assert simple("E5q G5e E5 E5h", "CEG:4", "C4w") == "0 E5 4"
    assert simple("E5q G5 E5h", "CEG:4", "C4w") == "0 E5 1 | 1 G5 1 | 2 E5 2"


def test_a_syncopation_is_struck_on_its_beat():
    assert simple("C5e E5q G5q E5 C5e", "CEG:4", "C4w") == "0 C5 1 | 1 E5 1 | 2 G5 1 | 3 E5 1"


def test_a_note_after_a_short_rest_is_struck_on_the_beat_of_the_rest():
    assert simple("rs E5e. rs G5e. C5h", "CEG:4", "C4w") == "0 E5 1 | 1 G5 1 | 2 C5 2"


def test_no_rest_is_taken_over_where_the_voice_strikes_a_figure():
    score = score_of(right="G4q C5e. E5s C5h", left="C3w")
    made = material(score, "CEG:4")
    made.roles.update({"C5": "figure"})
    assert line(reduced("simple tune", made), score) == "0 G4 1 | 2 C5 2"


def test_a_leaning_note_against_the_accompaniment_leans_though_a_chord_has_it():
    """The harmony is heard with a sixth; what sounds under the tune is the plain triad."""
    score = score_of(right="A5q G5 E5h", left="C4e G4 E4 G4 C4 G4 E4 G4")
    assert of(score, "simple tune", "CEGA:4").startswith("0 G5 2")


def test_outer_voices_move_in_halves_of_four_and_once_in_three():
    def outer(right, left, metre, chords):
        return of(score_of(right=right, left=left, metre=metre), "outer voices", chords)

    assert outer("C5q E5 G5 E5", "C4w", "4/4", "CEG:4") == "0 C5 2 | 2 G5 2"
    assert outer("C5q E5 G5", "C4h.", "3/4", "CEG:3") == "0 C5 3"
    assert outer("C5q. G5q.", "C4h.", "6/8", "CEG:3") == "0 C5 3/2 | 3/2 G5 3/2"
    assert outer("E5q D5 B4", "C4q B3h", "3/4", "CEG:1 GBD:2") == "0 E5 1 | 1 D5 2"


def test_five_notes_make_a_scale_and_four_do_not():
    assert simple("B4e C5 D5 E5 F5 re G5q", "CEG:4", "C4w").startswith("0 B4 1 | 1 D5 1 | 2 F5 ")
    assert simple("D5e E5 F5 G5 C5h", "CEG:4", "C4w") == "0 E5 1 | 1 G5 1 | 2 C5 2"


def test_against_less_than_a_whole_chord_a_tone_of_the_harmony_does_not_lean():
    score = score_of(right="A5q G5 E5h", left="C4e G4 C4 G4 C4 G4 C4 G4")
    assert of(score, "simple tune", "CEGA:4").startswith("0 A5 1 | 1 G5 1")


@pytest.mark.parametrize(
    ("metre", "left", "quarters"),
    [("4/4", "C3w", [0, 2]), ("6/8", "C3h.", [0, 1.5]), ("2/4", "C3h", [0]), ("3/4", "C3h.", [0]), ("4/8", "C3h", [0])],
)
def test_outer_voices_may_move_at_half_a_bar_that_lasts_a_dotted_quarter(metre, left, quarters):
    score = score_of(right=left.replace("3", "5"), left=left, metre=metre)
    made = material(score, f"CEG:{4 if metre == '4/4' else 2 if metre in ('2/4', '4/8') else 3}")
    assert [tick / score.ticks_per_quarter for tick in units_of(made, score.bars[0])] == quarters


def test_what_leans_for_less_than_a_quarter_of_the_beat_is_an_ornament_that_is_written_out():
    said = {"functions": {"D5": "appoggiatura > C5"}}
    for length, rest, found in (("t", "e..", "0 C5 1"), ("s", "e.", "0 D5 1/4 | 1/4 C5 3/4")):
        score = score_of(right=f"D5{length} C5{rest} E5q G5h", left="C3w")
        notes = reduced("leaning notes alone", material(score, "CEG:4", **said))
        assert line(notes, score).startswith(f"{found} | 1 E5 1")


def test_a_tune_that_becomes_a_figure_ends_with_a_whole_beat():
    score = score_of(right="B4h C5s G4 E4 G4 C4s E4 G4 E4", left="C3w")
    analysed = material(score, "CEG:4")
    roles = {note.id: "melody" if note.pitch.name in ("B4", "C5") else "figure" for note in score.notes}
    notes = reduced("complete melody over bass", replace(analysed, roles=roles))
    assert line(notes, score) == "0 B4 2 | 2 C5 1"


def test_a_note_that_is_tied_over_the_bar_line_is_struck_once_on_the_beat_of_the_next_bar():
    score = score_of(right="rq. rq C5e~ | C5q. G5q.", left="C3h. | C3h.", metre="6/8")
    made = material(score, "CEG:6")
    assert line(reduced("simple tune", made), score) == "3 C5 3/2 | 9/2 G5 3/2"
    assert line(reduced("outer voices", made), score) == "3 C5 3/2 | 9/2 G5 3/2"


def test_the_tune_begins_with_its_upbeat_and_not_with_the_beat_that_this_begins_within():
    score = score_of(right="A4e. Bb4s", metre="6/8", key=-1)
    (bar,) = score.bars
    upbeat = replace(score, bars=(replace(bar, length=4, lead=8),))
    assert line(reduced("simple tune", material(upbeat, "DFA:1")), upbeat).startswith("0 A4")


def test_a_short_rest_before_what_is_held_over_a_beat_does_not_become_a_long_one():
    assert simple("D5h re B4q C5e | B4w", "GBD:8", "G3w | G3w") == "0 D5 3 | 3 B4 1 | 4 B4 4"
    # not over the bar line
    assert simple("D5w | re B4q D5e G5h", "GBD:8", "G3w | G3w") == "0 D5 4 | 5 B4 1 | 6 G5 2"
    assert simple("D5h. rq | re B4q D5e G5h", "GBD:8", "G3w | G3w") == "0 D5 3 | 5 B4 1 | 6 G5 2"
