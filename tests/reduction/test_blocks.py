"""What a hand holds: figures struck at once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.analysis import analyse
from sitegen.reduction import build_ladder
from sitegen.reduction.figures.block_heads import heads_of, is_in_octaves
from sitegen.reduction.figures.block_notes import _octaves
from sitegen.reduction.figures.blocks import Block
from sitegen.reduction.figures.left_out import _moved_on
from sitegen.reduction.material.windows import Window
from tests.notation import score_of
from tests.reduction.reading import line, material, reduced


def blocked(left, chords, metre="4/4", key=0, **said):
    bars = left.count("|") + 1
    right = " ".join(["E6w" if metre == "4/4" else "E6h."] * bars)
    score = score_of(right=right, left=left, metre=metre, key=key)
    return line(reduced("blocked chords", material(score, chords, **said)), score, 2)


def test_neighbour_notes_within_a_figure_are_left_out_of_its_block():
    turn = "C4s G4 F#4 G4 E4 G4 F#4 G4"
    found = blocked(f"{turn} {turn} | {turn} {turn}", "CEG:8")
    assert found.startswith("0 C4+G4 1 | 1 E4+G4 1 | 2 C4+G4 1 | 3 E4+G4 1")


def test_a_neighbour_on_the_beat_is_held_for_it_belongs_to_the_hand():
    found = blocked("C4e G4 E4 G4 C4 G4 F4 G4 | C4 G4 E4 G4 C4 G4 E4 G4", "CEG:8")
    assert found == "0 C4+E4+G4 2 | 2 C4+F4+G4 2 | 4 C4+E4+G4 4"


def test_a_sounding_seventh_between_its_neighbours_stays_in_the_block():
    turn = "F#3e D4 C4 D4 F#3 D4 C4 D4"
    assert blocked(f"{turn} | {turn}", "DF#AC/F#:8", key=1) == "0 F#3+C4+D4 4 | 4 F#3+C4+D4 4"


def test_a_suspended_note_of_the_figure_is_in_its_block_though_the_chord_lacks_it():
    found = blocked("Bb2e F3 A3 F3 Bb2 D3 G3 D3", "BbDF/Bb:2 GBbD/Bb:2", key=-1)
    assert found == "0 Bb2+F3+A3 2 | 2 Bb2+D3+G3 2"


@pytest.mark.parametrize(
    ("left", "metre", "found"),
    [
        ("re C4 E4 G4 re C4 E4 G4", "4/4", "0 C4+E4+G4 4"),  # an eighth: on the beat of the rest
        ("rq C4e E4 G4 E4 | rq C4e E4 G4 E4", "3/4", "1 C4+E4+G4 2 | 4 C4+E4+G4 2"),  # a beat: on its own beat
    ],
)
def test_a_figure_after_a_rest_is_struck_on_the_beat(left, metre, found):
    assert blocked(left, "CEG:4" if metre == "4/4" else "CEG:6", metre) == found


@pytest.mark.parametrize(
    ("left", "found"),
    [
        ("re E4+G4 E4+G4 re re D4+G4 D4+G4 D4+G4", "0 E4+G4 2 | 2 D4+G4 2"),  # rests before and after: one half note
        ("E4+G4e E4+G4 E4+G4 re D4+G4h", "0 E4+G4 1 | 2 D4+G4 2"),  # a rest after alone: the hand is silent
        ("re E4+G4 E4+G4 re rh", "0 E4+G4 1"),  # and where it does not go on
    ],
)
def test_chords_between_two_rests_are_one_block_over_both(left, found):
    assert blocked(left, "CEG:2 GBD:2").startswith(found)


def test_the_last_beat_of_a_bar_is_written_like_the_one_before_though_one_voice_rests_sooner():
    low, high = "C3e r B2 r C3 r B2 r", "E3e3 G3 r G3 D4 r E3 G3 r G3 D4 r"
    found = blocked(f"{low} ; {high} | {low} ; {high}", "CEG:1 GBD/B:1 CEG:1 GBD/B:1 CEG:1 GBD/B:1 CEG:1 GBD/B:1")
    assert found.startswith("0 C3+E3+G3 1 | 1 B2+G3+D4 1 | 2 C3+E3+G3 1 | 3 B2+G3+D4 1 | ")


def test_the_same_chord_is_held_through_its_bar_and_struck_again_in_the_next():
    turn = "C4e G4 E4 G4 C4 G4 E4 G4"
    assert blocked(f"{turn} | {turn}", "CEG:8") == "0 C4+E4+G4 4 | 4 C4+E4+G4 4"


def test_broken_octaves_are_octaves():
    assert blocked("C3e C4 C3 C4 C3 C4 C3 C4", "CEG:4") == "0 C3+C4 4"
    moving = "C2s C3 C2 C3 E2 E3 E2 E3 G2 G3 G2 G3 B2 B3 B2 B3"
    assert blocked(moving, "CEG:2 GBD:2") == "0 C2+C3 1 | 1 E2+E3 1 | 2 G2+G3 1 | 3 B2+B3 1"


def test_a_walking_bass_is_no_figure():
    found = blocked("C3q D3 E3 G3 | F3 E3 D3 C3", "CEG:4 FAC:4")
    assert found == "0 C3 1 | 1 D3 1 | 2 E3 1 | 3 G3 1 | 4 F3 1 | 5 E3 1 | 6 D3 1 | 7 C3 1"


def test_a_bass_too_far_from_its_chord_is_struck_before_it():
    assert blocked("C2q E3+G3 E3+G3 | C2q E3+G3 E3+G3", "CEG:6", "3/4") == "0 C2 1 | 1 E3+G3 2 | 3 C2 1 | 4 E3+G3 2"
    assert blocked("C3q E3+G3 E3+G3 | C3q E3+G3 E3+G3", "CEG:6", "3/4") == "0 C3+E3+G3 3 | 3 C3+E3+G3 3"


def test_a_voice_that_comes_over_from_the_other_hand_takes_over_no_rest():
    """The left hand's two notes end a run that the right hand begins: they are struck where they stand."""
    score = score_of(right="C5q E5 G5 E5", left="C3w")
    notes = [n for n in score.notes if n.staff == 2]
    assert line(reduced("blocked chords", material(score, "CEG:4")), score, 2) == "0 C3 4"
    assert material(score, "CEG:4").rests_before(notes[0], 0)


def test_a_foreign_note_a_step_away_decorates_and_one_a_third_away_is_held():
    step, third = "C4s G4 A4 G4 E4 G4 A4 G4", "C4s G4 Bb4 G4 E4 G4 Bb4 G4"
    assert blocked(f"{step} {step}", "CEG:4").startswith("0 C4+G4 1 | 1 E4+G4 1")
    assert blocked(f"{third} {third}", "CEG:4").startswith("0 C4+G4+Bb4 1 | 1 E4+G4+Bb4 1")


def test_a_figure_up_to_a_tenth_is_one_block_and_a_wider_one_two():
    """A hand that spans an octave rolls a tenth; what lies farther comes where the hand has moved to."""
    assert blocked("C3e G3 E4 G3 C3 G3 E4 G3", "CEG:4") == "0 C3+G3+E4 4"
    assert blocked("C3e G3 Bb3 F4 C3 G3 Bb3 F4", "CGBbF:4") == "0 C3+G3 1 | 1 Bb3+F4 1 | 2 C3+G3 1 | 3 Bb3+F4 1"


def one_chord(left, chords, right="E6w"):
    score = score_of(right=right, left=left)
    return line(reduced("harmonic rhythm", material(score, chords)), score, 2)


def test_one_chord_a_harmony_is_the_first_position_of_an_arpeggio():
    climbing = "C2s E2 G2 C3 E3 G3 C4 E4 G3 C4 E4 G4 C4 E4 G4 C5"
    assert one_chord(climbing, "CEG:4") == "0 C2+E2+G2+C3 4"
    found = blocked(climbing, "CEG:4")
    assert found == "0 C2+E2+G2+C3 1 | 1 E3+G3+C4+E4 1 | 2 G3+C4+E4+G4 1 | 3 C4+E4+G4+C5 1"


def test_what_a_figure_brings_later_under_the_same_hand_is_of_its_chord():
    assert one_chord("C3e G3 C4 G3 E3 G3 C4 G3", "CEG:4") == "0 C3+E3+G3+C4 4"


def test_what_lies_out_of_reach_or_below_the_bass_is_not():
    assert one_chord("C3e G3 C4 G3 C3 G3 E4 G3", "CEG:4") == "0 C3+G3+C4 4"


def test_a_chord_is_struck_again_where_its_figure_goes_down_to_another_bass():
    """Not where that is the bass in another octave, nor where the hand has only octaves there, nor further up."""
    assert one_chord("C4e E4 C4 E4 G3 E4 C4 E4", "CEG:4") == "0 C4+E4 2 | 2 G3+C4+E4 2"
    assert one_chord("C4e E4 G4 E4 C3 E3 G3 E3", "CEG:4") == "0 C4+E4+G4 4 | 2 C3 2"
    assert one_chord("C4s E4 G4 E4 C4 E4 G4 E4 G3 G2 G3 G2 G3 G2 G3 G2", "CEG:4") == "0 C4+E4+G4 4"
    assert one_chord("G3e C4 E4 C4 C4 E4 G4 E4", "CEG:4") == "0 G3+C4+E4 4"


def test_a_suspended_note_is_struck_in_place_of_that_to_which_it_leads():
    found = one_chord("C4e G4 F4 G4 C4 G4 E4 G4 | C4 G4 E4 G4 C4 G4 E4 G4", "CEG:8", "E6w E6w")
    assert found == "0 C4+F4+G4 4 | 4 C4+E4+G4 4"


def test_a_chord_that_goes_on_in_another_key_is_held():
    assert one_chord("C3e E3 G3 E3 C3 E3 G3 E3", "CEG:2 CEG:2") == "0 C3+E3+G3 4"
    assert one_chord("C3e E3 G3 E3 C3 E3 G3 E3", "CEG:2 EGC:2") == "0 C3+E3+G3 2 | 2 C3+E3+G3 2"


def test_a_chord_of_a_harmony_that_comes_late_from_the_other_staff_has_the_next_beat():
    """A run comes down from the right hand into a figure of the left; not where its voice strikes something there."""

    def struck(run: str) -> str:
        figure = "rs rs rs C3s E3 G3 C4 G3"
        score = score_of(right=f"{run} {run}", left=f"{figure} {figure}")
        one = replace(score, notes=tuple(replace(note, voice=1) for note in score.notes))
        return line(reduced("harmonic rhythm", material(one, "CEG:4")), one, 2)

    assert struck("C5s G4 E4 rs rq") == "1 C3+E3+G3+C4 3"
    assert struck("C5s G4 E4 rs A5q") == "3/4 C3+E3+G3+C4 13/4"


def test_a_line_in_broken_octaves_is_no_chord():
    assert one_chord("C2s C3 C2 C3 E2 E3 E2 E3 G2 G3 G2 G3 C2 C3 C2 C3", "CEG:4").startswith("0 C2+C3 ")


def test_two_of_the_shortest_notes_are_no_three_turns_of_a_figure():
    score = score_of(left="E4s Bb3 re", metre="1/4")
    window = Window(1, 0, 2, score.notes, figure=True)
    assert [note.id for note in heads_of(material(score, "CEG:1"), window)] == ["Bb3", "E4"]


@pytest.mark.parametrize(
    ("slow", "gone"),
    [
        ("D3q E3 F3 E3", "E3 F3 E3.2"),  # twice as slow as the eighths of the figure
        ("D3e. E3 F3 E3 D3q", ""),  # not so slow, but for the last
        ("D3q F3 A3 F3", ""),  # by thirds
    ],
)
def test_the_hand_lets_go_of_what_a_voice_beside_the_figure_steps_on_to(slow, gone):
    notes = score_of(left=f"C4e G4 C4 G4 C4 G4 C4 G4 ; {slow}").notes
    assert " ".join(note.id for note in notes if note.id in _moved_on(notes)) == gone


@pytest.mark.parametrize(
    ("text", "octaves"),
    [
        ("C3e C4 C3 C4", True),
        ("C3e C4 D3 D4 E3 E4", True),
        ("C3e C4", False),  # one octave is no figure
        ("C3e C4 D3 D4 E3", False),
        ("C3e B3 C3 B3", False),  # sevenths
        ("C3e Db4 C3 Db4", False),  # ninths
        ("C3e C5 C3 C5", False),
        ("C3+C4e C3+C4 C3+C4 C3+C4", False),
    ],
)
def test_two_octaves_or_more_one_note_after_the_other_are_broken_octaves(text, octaves):
    notes = score_of(left=text).notes
    attacks = [[n for n in notes if n.onset == onset] for onset in sorted({n.onset for n in notes})]
    assert is_in_octaves(attacks) == octaves


def test_a_note_in_another_octave_is_doubled_by_the_nearest_head_and_any_other_is_not():
    notes = {note.id: note for note in score_of(left="C3+C5+E5e G3 C4 B4 F#4 E4").notes}
    heads = tuple(notes[name] for name in ("C3", "C5", "E5"))
    block = Block(2, 0, 8, heads, tuple(notes.values()), True)
    assert _octaves(block) == {"C3": ["C4"], "E5": ["E4"]}


def test_a_key_four_octaves_from_what_the_hand_sings_is_struck_where_there_is_no_nearer_one():
    score = score_of("C6q E1e E5 G5h | E5e3 E5 E5 C5h. | C5q E5e E5 G5h | C5q E5e E5 G5h", "C3w | rw | G3w | C3w")
    struck = [note for stage in build_ladder(score, analyse(score)) for note in stage.notes if note.onset < 24]
    assert "E1" in {note.pitch.name for note in struck}


@pytest.mark.parametrize(
    ("upper", "found"),
    [
        ("G3q. F3e E3h", "0 C3 1 | 0 G3 2 | 1 D3 1 | 2 C3+E3 2"),
        ("G3q~ G3s F3e. E3h", "0 C3+G3 1 | 1 D3 1 | 2 C3+E3 2"),
        ("G3q. G3e E3h", "0 C3 1 | 0 G3 2 | 1 D3 1 | 2 C3+E3 2"),
    ],
)
def test_what_is_held_over_half_of_a_beat_has_the_beat_and_what_is_held_for_less_has_none_of_it(upper, found):
    assert blocked(f"C3q D3 C3h ; {upper}", "CG:1 GD:1 CE:2") == found


def test_of_a_trill_that_is_written_out_the_note_of_the_chord_is_held():
    turn = "Bb3s C4 Bb3 C4"
    assert blocked(f"{turn} {turn} {turn} {turn}", "BbDF:4") == "0 Bb3 4"
    assert blocked(f"{turn} {turn} {turn} {turn}", "CEGBb/Bb:4") == "0 Bb3+C4 4"
    # two notes one after the other, neither of which comes back, are no trill
    assert blocked("Bb3q C4 Bb3 C4 | Bb3q C4 Bb3 C4", "BbDF:8").startswith("0 Bb3+C4 ")


def test_a_line_in_broken_octaves_that_goes_on_has_an_octave_for_each_beat():
    found = blocked("C3e C4 E3 E4 G3 G4 E3 E4 | C3 C4 E3 E4 G3 G4 E3 E4", "CEG:8")
    assert found.startswith("0 C3+C4 1 | 1 E3+E4 1 | 2 G3+G4 1 | 3 E3+E4 1")


def test_the_hand_lets_go_of_a_bass_where_the_bass_line_moves_up_into_the_chord_that_it_holds():
    found = blocked("E3+G3+C4q G3+C4 A3h | E3+G3+C4q G3+C4 A3h", "EGC:1 GCE/G:1 ACF:2 EGC:1 GCE/G:1 ACF:2")
    assert found == "0 E3+G3+C4 1 | 1 G3+C4 1 | 2 A3 2 | 4 E3+G3+C4 1 | 5 G3+C4 1 | 6 A3 2"
    # while the bass stays, it is held with the chord
    assert blocked("E3+G3+C4q G3+C4 A3h", "EGC:2 ACF:2") == "0 E3+G3+C4 2 | 2 A3 2"
