"""A tune and the chords under it, in the stages that are without some of its notes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sitegen.reduction.material.indexed import gather
from sitegen.score import Score
from tests.notation import score_of
from tests.reduction.reading import line, material, read, reduced

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


def test_a_chord_that_leans_for_less_than_half_a_beat_does_not_hold_the_tune_back():
    # short and long: in its main notes the tune has the long ones, one a beat
    score = score_of(right="B4s A4e. A4q r r ; D4+G#4q C4+E4 r r", left="A2w")
    said = {"chords": "ACE:4", "functions": {"B4": "appoggiatura > A4"}}
    assert over("simple tune over blocked chords", score, **said).startswith("0 D4+G#4+A4 1 | ")


def test_a_chord_is_let_go_together_for_the_tune_that_comes_to_one_of_its_keys():
    # the last note of the triplet is the B of the chord: no five sixths of a beat
    right = "D5h F5s D5 F5s3 E5 B4 D5q ; B4+D4h B4+E4q B4+D4q"
    score = score_of(right=right, left="G2h G2q G2")
    found = over("complete melody over blocked chords", score, chords="GBD:2 GBE:1 GBD:1")
    assert "2 E4+B4 1/2" in found


def test_a_chord_of_the_other_hand_is_let_go_together_for_the_tune_that_comes_down_to_one_of_its_keys():
    # the semiquaver G is a key of the left hand: no double dots
    score = score_of(right="C5s B4 E5 D5 C5 B4 A4 G4 C5q D5", left="G4e E4s C4 G4e E4s C4 G3q B3")
    found = reduced("complete melody over blocked chords", material(score, "CEG:2 GBD:2"))
    assert line(found, score, 2).startswith("0 C4+E4+G4 3/2 | 2 ")


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


def test_a_chord_that_is_held_over_the_beat_has_it():
    # the hand moves on an eighth before each beat: its chords are none of them held on under the next
    left = "re C4+E4q D4+F4 E4+G4 C4+E4e"
    score = score_of(right="C6w", left=left)
    assert line(reduced("blocked chords", material(score, "CEG:4")), score, 2) == "0 C4+E4 2 | 2 D4+F4 1 | 3 E4+G4 1"


def test_what_comes_and_stays_with_a_syncopated_tune_goes_along_with_it():
    score = score_of(right="re E5q G5 E5 C5e ; re C5q E5 C5 G4e", left="C3w")
    found = line(reduced("complete melody over blocked chords", material(score, "CEG:4")), score)
    assert found == "1/2 C5+E5 1 | 3/2 E5+G5 1 | 5/2 C5+E5 1 | 7/2 C5 1/2"


def test_a_bass_that_hangs_over_lasts_under_the_chord_on_the_bar_line():
    score = score_of(right="E6w | E6w", left="C4w~ | C4e re rq rh ; E4+G4h E4+G4 | F4+B4h F4+B4")
    found = line(reduced("simple tune over blocked chords", material(score, "CEG:8")), score, 2)
    assert found == "0 E4+G4 4 | 0 C4 8 | 4 F4+B4 4"


def test_a_voice_of_the_hand_that_holds_its_chord_on_brings_nothing_to_the_other():
    turns = "A4s C5 F5 C5 A4 C5 F5 C5 A4 C5 F5 C5 A4 C5 F5 C5"
    score = score_of(right=f"{turns} | {turns}", left="rh F2e C3 A2 C3 | rh F2e C3 A2 C3")
    right = score.notes[0].voice

    def chords(voice: int) -> str:
        """The left hand's, with its C3 in a voice of this number, the rest in one of its own."""
        voices = {"F2": right + 1, "A2": right + 1, "C3": voice}
        notes = tuple(replace(note, voice=voices.get(note.pitch.name, right)) for note in score.notes)
        crossing = replace(score, notes=notes)
        return line(reduced("harmonic rhythm", material(crossing, "FAC:8")), crossing, 2)

    assert chords(right + 1) == "2 F2+A2+C3 2 | 6 F2+A2+C3 2"
    assert chords(right) == "2 F2+A2 2 | 6 F2+A2 2"


def test_of_a_running_tune_only_the_tones_of_its_harmony_make_a_chord():
    turns = "E5e G#5s A5 C6e A5 E5e G#5s A5 C6e A5 | D5e F#5s G5 B5e G5 D5e F#5s G5 B5e G5"
    score = score_of(right=turns, left="A3w | G3w")
    assert line(reduced("harmonic rhythm", material(score, "ACE:4 GBD:4")), score) == "0 E5+A5+C6 4 | 4 D5+G5+B5 4"


def test_a_tune_in_octave_leaps_is_no_chord():
    score = score_of(right="C5e C6 C5 C6 C5 C6 C5 C6", left="C3w")
    assert line(reduced("harmonic rhythm", material(score, "CEG:4")), score) == ""


def test_where_the_accompaniment_is_a_whole_chord_the_tune_is_none():
    left = "C3e G3 E4 G3 C3 G3 E4 G3"
    score = score_of(right="E5e A5 C6 G5 E5 A5 C6 G5", left=left)
    assert line(reduced("harmonic rhythm", material(score, "CEG:4")), score) == ""
    # but where it is a broken chord itself
    score = score_of(right="E5e G5 C6 G5 E5 G5 C6 G5", left=left)
    assert line(reduced("harmonic rhythm", material(score, "CEG:4")), score) == "0 E5+G5+C6 4"


def test_what_accompanies_a_later_bar_makes_no_whole_chord_of_this_one():
    """The harmony goes on, and its fifth comes in the second bar: in the first only the tune has it."""
    tune = "Eb5s G5 Bb4 Eb5 G4 Bb4 Ab4 F4 | Eb4s G4 Bb3 Eb4 G3 Bb3 Ab3 F3"

    def sung(first: str) -> str:
        score = score_of(right=tune, left=f"{first} re rq | Eb3+G3+Bb3h", metre="2/4")
        return line(reduced("harmonic rhythm", material(score, "EbGBb:4")), score)

    assert sung("Eb3+G3e") == "0 G4+Bb4+Eb5+G5 2"
    assert sung("Eb3+G3+Bb3e") == ""


def test_a_second_voice_in_the_rhythm_of_the_tune_is_no_figure():
    lower = "C5e E5 B4 E5 C5 E5 B4 E5"
    score = score_of(right=f"G5e C6 G5 C6 G5 C6 G5 C6 ; {lower}", left="C3w")
    assert line(reduced("blocked chords", material(score, "CEG:4")), score) == "0 C5 4"


def test_a_bass_too_far_for_a_roll_comes_first_and_then_its_chord():
    far = "Ab1e Eb3 C4 Eb3 Ab2e Eb3 C4 Eb3"
    score = score_of(right="C6w | C6w", left=f"{far} | {far}")
    found = line(reduced("harmonic rhythm", material(score, "AbCEb:8")), score, 2)
    assert found == "0 Ab1 2 | 2 Ab2+Eb3+C4 2 | 4 Ab1 2 | 6 Ab2+Eb3+C4 2"


def test_a_chord_of_its_harmony_may_be_held_over_the_beat():
    score = score_of(right="C6w", left="re C4+E4q D4+F4 E4+G4 C4+E4e")
    found = line(reduced("harmonic rhythm", material(score, "CEG:2 DFA:1 EGB:1")), score, 2)
    assert found == "0 C4+E4 2 | 2 D4+F4 1 | 3 E4+G4 1"


def test_a_block_has_the_harmony_of_its_beat():
    # the bass moves on in eighths; the figure brings a tone of the second chord within the beat
    turn = "A4s E4 B4 E4"
    score = score_of(right=f"E6h ; {turn} {turn}", left="A2e E3 A2 E3", metre="2/4")
    found = line(reduced("blocked chords", material(score, "ACE:1/2 EGB:1/2 ACE:1/2 EGB:1/2")), score)
    assert found == "0 E4+A4 2"
    # a seventh that is only added belongs to the chord
    score = score_of(right="C6h", left="C3s G3 E3 Bb3 C3 G3 E3 Bb3", metre="2/4")
    found = line(reduced("blocked chords", material(score, "CEG:1/2 CEGBb:1/2 CEG:1/2 CEGBb:1/2")), score, 2)
    assert found == "0 C3+E3+G3+Bb3 2"


def test_a_chord_holds_no_note_with_its_own_alteration():
    turn = "A3s C4 F3 Ab3"
    score = score_of(right="C6h", left=f"{turn} {turn}", metre="2/4")
    assert line(reduced("blocked chords", material(score, "FAC:2")), score, 2) == "0 F3+A3+C4 2"


def test_a_bass_in_octaves_and_then_its_chord_is_one_harmony():
    score = score_of(right="G5w", left="C3+C4q E4+G4 C3+C4 E4+G4")
    assert line(reduced("harmonic rhythm", material(score, "CEG:4")), score, 2) == "0 C3+C4 1 | 1 E4+G4 3"


def test_a_second_voice_in_the_rhythm_of_the_tune_goes_along_with_it():
    name = "complete melody over blocked chords"
    # a note more while the tune holds, too
    score = score_of(right="C6e B5 A5q G5e E5 F5 D5 ; E5e G5 C5 F5 E5 C5 A4 B4", left="C3w")
    found = line(reduced(name, material(score, "CEG:4")), score)
    assert found.startswith(
        "0 E5+C6 1/2 | 1/2 G5+B5 1/2 | 1 C5 1/2 | 1 A5 1 | 3/2 F5 1/2 | 2 E5+G5 1/2 | 5/2 C5+E5 1/2"
    )
    # but a figure goes on between its notes
    score = score_of(right="C6q B5 C6 B5 ; C5e E5 G5 E5 C5 E5 G5 E5", left="C3w")
    assert line(reduced(name, material(score, "CEG:4")), score).startswith("0 C6 1 | 0 C5+E5+G5 4 | 1 B5 1")


def test_what_the_left_hand_strikes_with_its_tune_off_the_beat_has_its_bass():
    score = score_of("rh", "E3+G3e F3+A3 E3+G3q ; C3e B2e C3q", metre="2/4")
    plain = read(score, "CEG:2")
    sung = {id: replace(reading, line="melody") for id, reading in plain.notes.items() if id[0] in "GA"}
    made = gather(score, replace(plain, notes=dict(plain.notes) | sung))
    found = line(reduced("complete melody over blocked chords", made), score, 2)
    assert "1/2 B2+F3+A3 1/2" in found.split(" | ")
