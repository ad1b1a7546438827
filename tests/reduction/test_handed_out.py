"""Bars as a teacher would write them out: whole beats, chords that a hand holds, a bass where the hand goes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.reduction.notes.tidying import tidy
from tests.notation import score_of
from tests.reduction.reading import line, material, reduced, unsung

OVER = "simple tune over blocked chords"


def of(technique, chords, right="", left="", metre="4/4", staff=1, key=0, **said):
    score = score_of(right=right, left=left, metre=metre, key=key)
    return line(reduced(technique, material(score, chords, **said)), score, staff)


def test_a_short_note_before_a_rest_has_its_whole_beat():
    right = "C5e r rq r D5s E5 F5 E5 | G5w"
    assert of("simple tune", "CEG:8", right, "C3w | C3w").startswith("0 C5 1 | ")


def test_a_short_note_that_ends_the_music_in_its_staff_is_as_long_as_it_is_written():
    assert of("simple tune", "CEG:4", "G5h. C5e r", "C3w") == "0 G5 3 | 3 C5 1/2"


def test_a_note_to_which_the_tune_comes_back_is_held_over_a_short_rest():
    assert of("simple tune", "CEG:4", "C5e!staccato r D5s C5 B4 C5 | E5h", "C3h | C3h", "2/4") == "0 C5 2 | 2 E5 2"


def test_a_chord_struck_with_a_short_note_of_the_tune_lasts_for_the_beat():
    right = "A4+C5e A5 G5q F5"
    assert of("blocked chords", "FAC:3", right, "F3h.", "3/4") == "0 A4 1"
    # and as long as the note that the tune then holds
    assert of(OVER, "FAC:3", right, "F3h.", "3/4").startswith("0 A4+C5 2 | ")


def test_what_is_let_go_within_a_beat_before_a_rest_is_let_go_on_the_beat():
    left, chords = "D3e r C4 r G2 r F3 r | C3e r B3 r F2 r E3 r", "DFAC:2 GBDF:2 CEGB:2 FACE:2"
    assert of("bass line", chords, "B5w | C6w", left, staff=2).startswith("0 D3 1 | 2 G2 1 | ")
    assert of("blocked chords", chords, "B5w | C6w", left, staff=2).startswith("0 D3+C4 1 | 2 G2+F3 1 | ")


@pytest.mark.parametrize(("metre", "length"), [("6/8", "3/2"), ("2/2", "2")])
def test_where_the_beat_is_dotted_a_longer_note_lasts_for_whole_beats(metre, length):
    bars = {"6/8": "C3q.~ C3e rq", "2/2": "C3h rh"}
    left = bars[metre]
    quarters = {"6/8": 3, "2/2": 4}[metre]
    assert of("bass line", f"CEG:{quarters}", "C6h." if metre == "6/8" else "C6w", left, metre, 2) == f"0 C3 {length}"


def test_a_key_of_both_hands_is_the_tune_s():
    right, left = "G4e r C5 E5 G5h", "C4s G4 E4 G4 C4 G4 E4 G4 C4h"
    assert of("complete melody over blocked chords", "CEG:4", right, left).startswith("0 G4 1/2 | ")
    assert of("complete melody over blocked chords", "CEG:4", right, left, staff=2).startswith("0 C4+E4 ")


def test_a_note_struck_again_before_it_moves_on_to_as_weak_a_beat_keeps_its_time():
    functions = {"B4": "appoggiatura > C5", "B4.2": "appoggiatura > C5"}
    assert of("simple tune", "CEG:3", "B4q B4 C5", "C3h.", "3/4", functions=functions) == "0 B4 1 | 1 B4 1 | 2 C5 1"


def test_a_shake_in_the_tune_is_no_chord_of_its_harmony():
    right, left = "C6s B5 C6 B5 C6 B5 C6 B5 | C6 B5 C6 B5 C6 B5 C6 B5", "C3q G3+E4 | C3q G3+E4"
    assert of("harmonic rhythm", "CEG:4", right, left, "2/4") == ""


def test_what_only_doubles_the_tune_in_octaves_is_no_chord_of_its_harmony():
    assert of("harmonic rhythm", "CEG:4", "C5+C6q D5+D6 E5+E6h", "C3+E3+G3w") == ""
    assert of("harmonic rhythm", "CEG:4", "C5+E5+C6q D5+D6 E5+E6h", "C3+G3w") == "0 C5+E5 1"


def test_an_upbeat_in_octaves_has_no_bass():
    assert of("bass line", "CEG:5", "G4+G5q | C5+C6w", "rq | C3w") == ""


def test_the_octave_below_a_leaning_note_goes_on_with_it():
    right = "G4+D5+G5q A4+D5+A5e B4+D5+B5 C5+C6h"
    functions = {"A5": "appoggiatura > B5"}
    found = of(OVER, "GBD:2 CEG:2", right, "G3h C3h", functions=functions)
    assert found == "0 G4+D5+G5 1 | 1 B4+D5+B5 1 | 2 C6 2"
    assert "1 A4+A5 1/2" in of("leaning notes", "GBD:2 CEG:2", right, "G3h C3h", functions=functions)


@pytest.mark.parametrize(
    ("right", "chord", "found"),
    [
        ("D5e C4+C5q. E5h ; D4e rq. rh", "CEG", "0 D4+D5 1/2 | 1/2 C4+C5 3/2 | 2 E5 2"),
        ("A5e Db5+G5q. rh ; Eb5e rq. rh", "EbGBb", "0 A5 1/2 | 0 Eb5 2 | 1/2 G5 3/2"),
    ],
)
def test_what_lies_at_another_interval_below_a_leaning_note_stays_with_its_chord(right, chord, found):
    functions = {"D5": "appoggiatura > C5", "A5": "appoggiatura > G5"}
    assert of("leaning notes", f"{chord}:4", right, "C3w", functions=functions) == found


def test_a_key_that_two_voices_strike_is_one_note_of_the_figure():
    left = "E4q D4 E4 ; E4e3 A3 F#3 D4 A3 F#3 E4 A3 F#3"
    found = of("blocked chords", "DF#A:3", "A5h.", left, "3/4", 2, key=2)
    assert found == "0 F#3+A3+E4 1 | 1 F#3+A3+D4 1 | 2 F#3+A3+E4 1"


def test_alla_breve_a_bass_and_its_chord_are_a_figure_in_quarters():
    left = "A2e E3+C4 C3 A3+E4 B2 E3+D4 G#2 E3+D4"
    assert of("blocked chords", "ACE:2 EG#BD/B:1 EG#BD/G#:1", "A5w", left, "2/2", 2, span=24) == (
        "0 A2+E3+C4 2 | 2 B2+E3+D4 1 | 3 G#2+E3+D4 1"
    )


def test_a_hand_that_leaves_its_place_strikes_a_new_bass():
    left = "F3e A3 F3 F2q re | F3e A3 F3 F2q re"
    right = "A5h. | A5h."
    assert of("bass line", "FAC:6", right, left, "6/8", 2) == "0 F3 3/2 | 3/2 F2 1 | 3 F3 3/2 | 9/2 F2 1"
    assert of("blocked chords", "FAC:6", right, left, "6/8", 2).startswith("0 F3+A3 3/2 | 3/2 F2 1 | ")


def test_a_figure_that_goes_below_its_first_note_where_the_harmony_changes_has_a_new_bass():
    left = "B3e D4 B3 F3q re | B3e D4 B3 F3q re"
    found = of("bass line", "BDF:3/2 FAC:3/2 BDF:3/2 FAC:3/2", "A5h. | A5h.", left, "6/8", 2)
    assert found == "0 B3 3/2 | 3/2 F3 1 | 3 B3 3/2 | 9/2 F3 1"


def test_a_hand_holds_no_three_seconds_beside_each_other():
    turn = "A4s C4 G4 E4 F4 A4 A4 C4 G4 E4 F4 A4"
    found = of("blocked chords", "FAC/F:6", "C6h. | C6h.", f"{turn} | {turn}", "6/8", 2)
    assert found.startswith("0 C4+F4+A4 3 | ")


@pytest.mark.parametrize(
    ("turns", "found"),
    [
        ("F#3s3 A3 D4 G3 B3 D4", "0 F#3+A3+D4 4"),  # the figure moves on: its first turn stands on the beat
        ("F#3s3 A3 D4 F#3 A3 C4", "0 F#3+A3+C4+D4 4"),  # one note moves: the hand takes it in
        ("F#3s3 A3 D4 A3 D4 F#4", "0 F#3+A3+D4+F#4 4"),  # the same chord in another position
    ],
)
def test_a_figure_that_moves_on_within_the_beat_is_struck_in_its_first_turn(turns, found):
    bar = " ".join([turns] * 4)
    assert of("blocked chords", "DF#A/F#:4", "D6w", bar, key=1, staff=2) == found


def test_what_decorates_in_one_figure_may_be_held_in_one_of_another_shape():
    turns = "F3s D3 B2 A2 B2 D3 G2 B2 D3 F3 E3 D3 | F3 D3 B2 A2 B2 D3 G2 B2 D3 F3 E3 D3"
    found = of("blocked chords", "BDF:3/2 GBDF:3/2 BDF:3/2 GBDF:3/2", "C6h. | C6h.", turns, "6/8", 2)
    assert found.startswith("0 B2+D3+F3 3/2 | 3/2 G2+B2+D3+F3 3/2 | ")


def test_a_passing_note_does_not_unmake_a_broken_chord():
    turn = "F4s A4 C5 Eb5 D5 C5"
    found = of("blocked chords", "FACEb:3", "A5h.", f"{turn} {turn}", "6/8", 2)
    assert found == "0 F4+A4+C5+Eb5 3"


def test_a_bass_to_which_the_turn_comes_back_stays():
    left = "F3e A3 C4 A3 F3 A3 | F3 A3 C4 A3 F3 A3"
    assert (
        of("bass line", "FAC:3/2 FACEb/F:3/2 FAC:3/2 FACEb/F:3/2", "C6h. | C6h.", left, "6/8", 2) == "0 F3 3 | 3 F3 3"
    )


def test_a_short_bass_before_a_rest_has_its_whole_beat():
    assert of("bass line", "CEG:4", "C6w", "C3e r rq E3h", staff=2) == "0 C3 1"


def test_chords_that_move_with_the_tune_are_no_figure():
    right = "re A4+E5 r C5+E5+C6 r A4+F5 r C5+F5+C6"
    assert of("simple tune over blocked chords", "ACE:2 FAC:2", right, "A2h F2h", "2/2") == "0 E5 2 | 2 F5 2"


def test_a_note_that_stops_within_a_triplet_needs_no_bracket():
    assert of("simple tune", "CEG:4", "E5q G5e3 D5 re3 rh", "C3w") == "0 E5 1 | 1 G5 1/2"
    assert of("simple tune", "CEG:3", "E5q. G5e3 D5 re3 re", "C3h.", "6/8") == "0 E5 3/2 | 3/2 G5 1/2"


def test_what_moves_on_by_step_with_a_leaning_note_goes_with_it():
    said = {"functions": {"D5": "appoggiatura > C5", "B4": "appoggiatura > A4"}}
    right = "D5e C5 G5q E5h ; B4e A4 C5q C5h"
    assert of(OVER, "FAC:4", right, "F3w", **said).startswith("0 A4+C5 1 | ")
    assert of("leaning notes", "FAC:4", right, "F3w", **said).startswith("0 B4+D5 1/2 | 1/2 A4+C5 1/2 | ")


def test_an_inner_line_joins_its_notes_by_step_for_a_bar():
    def inner(lower):
        score = score_of(right=f"G5w G5w ; {lower}", left="C3w C3w")
        ids = " ".join(note.id for note in score.notes if note.voice == 2)
        return line(reduced("inner line with the melody", material(score, "CEG:8", inner=ids)), score)

    assert inner("E5h F5 D5q E5 F5h") == "0 E5 2 | 0 G5 4 | 2 F5 2 | 4 D5 1 | 4 G5 4 | 5 E5 1 | 6 F5 2"
    # single notes between rests, and half a bar of steps, are none
    assert inner("rh E5q r rh D5q r") == ""
    assert inner("E5e F5 E5 D5 rh E5e F5 E5 D5 rh") == ""
    # and what stands so beside a line is not of it
    assert inner("E5h F5 D5q E5 r D5") == "0 E5 2 | 0 G5 4 | 2 F5 2 | 4 D5 1 | 4 G5 4 | 5 E5 1"


@pytest.mark.parametrize("turns", ["C5s E5 G5 D5 F5 A5", "C5s3 E5 G5 D5 F5 A5 E5 G5 B5"])
def test_a_figure_that_moves_on_by_step_is_struck_in_its_first_turn_whatever_the_chord_is_called(turns):
    # all the tones of a chord of the thirteenth, in two turns or in three: no hand means them together
    score = score_of(right=f"{turns} {turns}", left="C3h.", metre="6/8")
    assert line(reduced("blocked chords", unsung(material(score, "CEGBDFA:3"))), score) == "0 C5+E5+G5 3"


def test_what_leads_on_at_the_end_of_a_figure_is_not_in_its_chord():
    turn = "rs C3 E3 G3 C4 C3 D3 D4"
    found = of("blocked chords", "CEG:3/2 GBDF/D:1/2 CEG:3/2 GBDF/D:1/2", "C6h | C6h", f"{turn} | {turn}", "2/4", 2)
    assert found == "0 C3+E3+G3+C4 2 | 2 C3+E3+G3+C4 2"


@pytest.mark.parametrize("left", ["Bb2s D3 F3 Bb2 C3 G3", "Bb2s D3 F3 Bb2 D3 F3"])
def test_a_figure_over_a_figure_leaves_to_the_next_harmony_what_is_its_own(left):
    turn = "D4s F4 D4 Bb3 G3 E4"
    said = "BbDF:1 CEG:1/2 BbDF:1 CEG:1/2"
    score = score_of(right=f"{turn} {turn}", left=f"{left} {left}", metre="6/8", key=-1)
    assert line(reduced("blocked chords", unsung(material(score, said))), score) == "0 Bb3+D4+F4 3"


def blocks(right, chords, span=12):
    """What the right hand holds where nothing is sung."""
    score = score_of(right=right, left="C3w")
    return line(reduced("blocked chords", unsung(material(score, chords, span=span))), score)


def test_what_leans_in_a_figure_on_its_next_note_is_not_held_with_it():
    # off the beat, and on it; where the note to which it goes is no step below it, it is of the chord
    assert blocks("C5e A5 G5 E5 C5 A5 G5 E5", "CEG:4") == "0 C5+E5+G5 4"
    assert blocks("F5e E5 G4 C5 F5 E5 G4 C5", "CEG:4") == "0 G4+C5+E5 4"
    assert blocks("F5e C5 G4 C5 F5 C5 G4 C5", "CEG:4") == "0 G4+C5+F5 4"


def test_a_figure_that_runs_through_two_chords_is_held_in_the_tones_of_the_longer():
    # no hand holds E, F, G and A
    score = score_of(right="C5s E5 G5 C6 A5 F5 C5 E5 G5 C6 A5 F5", left="C3h.", metre="6/8")
    found = reduced("blocked chords", unsung(material(score, "CEG:1 FAC:1/2 CEG:1 FAC:1/2")))
    assert line(found, score) == "0 C5+E5+G5+C6 3"


def test_a_broken_chord_of_as_many_notes_as_a_hand_has_fingers_is_held_as_it_lies():
    figure = "C5s E5 G5 Bb5 C6 Bb5 G5 E5"
    assert blocks(f"{figure} {figure}", "CEG:4") == "0 C5+E5+G5+Bb5+C6 4"


def test_an_arpeggio_of_more_notes_than_a_hand_has_fingers_is_held_where_it_lies_furthest_out():
    score = score_of(right="B4s D5 F5 B5 D6 F6 B4 D5 F5 B5 D6 F6", left="C3h.", metre="6/8")
    assert line(reduced("blocked chords", unsung(material(score, "BDF:3"))), score) == "0 B5+D6+F6 3"


def test_a_line_in_a_piece_in_two_voices_means_a_chord_of_four_and_not_the_step_beyond():
    # the A is no tone of the seventh chord; where both hands had chords, five fingers could hold it
    score = score_of(right="G4s B4 D5 F5 A5 D5 G4 B4 D5 F5 A5 D5", left="C3h.", metre="6/8")
    made = unsung(material(score, "GBDF:3", span=24))
    assert line(reduced("blocked chords", replace(made, two_voices=True)), score) == "0 G4+B4+D5+F5 3"
    assert line(reduced("blocked chords", replace(made, two_voices=False)), score) == "0 G4+B4+D5+F5+A5 3"


def harmony(right, left, chords, metre="4/4"):
    """One chord a harmony in both hands where nothing is sung."""
    score = score_of(right=right, left=left, metre=metre)
    found = reduced("harmonic rhythm", unsung(material(score, chords)))
    return " / ".join(line(found, score, staff) for staff in (1, 2))


def test_what_a_figure_brings_beyond_a_tenth_is_left_to_the_chord_of_the_other_hand():
    turn = "C2s G2 C3 E4 C2 G2 C3 E4"
    assert harmony("C5+E5h", turn, "CEG:2", "2/4") == "0 C5+E5 2 / 0 C2+G2+C3 2"
    # but not where no other hand has it, or no whole chord would be left; and what the score strikes at once it holds
    assert harmony("C5+G5h", turn, "CEG:2", "2/4") == "0 C5+G5 2 / 0 C2+G2+C3+E4 2"
    assert harmony("C5+E5h", "C2s C3 E4 C3 C2 C3 E4 C3", "CEG:2", "2/4") == "0 C5+E5 2 / 0 C2+C3+E4 2"
    assert harmony("C5+E5h", "C2+G2+E4h", "CEG:2", "2/4") == "0 C5+E5 2 / 0 C2+G2+E4 2"


def test_a_key_that_one_hand_holds_is_not_struck_by_the_other():
    assert harmony("rq E4+G4q", "C3+G3+E4h", "CEG:2", "2/4") == "1 G4 1 / 0 C3+G3+E4 2"


def test_an_upbeat_to_a_figure_is_not_of_its_chord():
    # the chord has the time of the F that leans on its E, not that of the E before the beat
    score = score_of(right="re. E4s F4 E4 C5 E5 F5 E5 C6 E6", left="C3h. ", metre="3/4")
    found = reduced("harmonic rhythm", unsung(material(score, "CEG:3", functions={"F4": "appoggiatura > E4.2"})))
    chord = [n for n in found if n.staff == 1]
    assert chord
    assert all("E4" not in n.sources for n in chord)


def test_a_bass_that_is_held_over_the_bar_line_is_struck_with_the_chord_above_it():
    left = "A2q A2h~ | A2q A2h ; rh. | F#3q E3h"
    score = score_of(right="C#6h. | D6q C#6h", left=left, metre="3/4", key=3)
    found = tidy(reduced("harmonic rhythm", material(score, "AC#E:3 DF#A/A:1 AC#E:2")))
    assert line(found, score, 2) == "0 A2 3 | 3 A2+F#3 1 | 4 A2+E3 2"
