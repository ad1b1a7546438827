"""What is a figure, and how long it is: known by its repetition."""

from __future__ import annotations

import pytest

from tests.notation import score_of
from tests.reduction.reading import material


def windows(left, chords, metre="4/4", key=0, texture="", right=""):
    """The windows of the left hand, in quarters; a figure is marked ``f``."""
    bars = left.count("|") + 1
    beats = int(metre.split("/")[0])
    score = score_of(right=right or " ".join(["E6w" if beats == 4 else "E6h."] * bars), left=left, metre=metre, key=key)
    made = material(score, chords, left=texture)
    q = score.ticks_per_quarter
    return " ".join(f"{w.onset // q}-{w.end // q}{'f' * w.figure}" for w in made.windows[2])


@pytest.mark.parametrize(
    ("left", "chords", "found"),
    [
        ("C4e G4 E4 G4 C4 G4 E4 G4", "CEG:4", "0-2f 2-4f"),  # an Alberti bass: half a bar, though its texture is unsaid
        ("C4s E4 G4 E4 C4 E4 G4 E4 C4 E4 G4 E4 C4 E4 G4 E4", "CEG:4", "0-1f 1-2f 2-3f 3-4f"),  # a beat
        ("C4e B3 C4 G4 D4 C#4 D4 A4", "CEG:2 DFA:2", "0-2f 2-4f"),  # with a neighbour in it, on other notes
        ("C3q D3 E3 G3 | F3 E3 D3 C3", "CEG:4 FAC:4", "0-1 1-2 2-3 3-4 4-5 5-6 6-7 7-8"),  # a walking bass: none
        ("C3e D3 E3 F3 C3 D3 E3 F3", "CEG:4", "0-1 1-2 2-3 3-4"),  # a line in steps, though it comes again
        ("C3+E3q G3+C4 E3+G3 C3+E3 | C3+E3q G3+C4 E3+G3 C3+E3", "CEG:8", "0-1 1-2 2-3 3-4 4-5 5-6 6-7 7-8"),  # chords
        ("C3e C4 C3 C4 C3 C4 C3 C4", "CEG:4", "0-2f 2-4f"),  # two notes in turn
        ("C3t D3 C3 D3 C3 D3 C3 G3 " * 4, "CEG:4", "0-1 1-2 2-3 3-4"),  # a shake with a leap in it: none
        ("C3t D3 G3 C4 G3 D3 E3 D3 " * 4, "CEG:4", "0-1f 1-2f 2-3f 3-4f"),  # half of the moves are leaps
        ("C3s D3 E3 G3 " * 4, "CEG:4", "0-1 1-2 2-3 3-4"),  # a line, though it leaps back: half of the moves are few
        ("C3t D3 E3 G3 C3 G3 E3 C3 " * 4, "CEG:4", "0-1f 1-2f 2-3f 3-4f"),  # a passing note where most moves are leaps
        ("C4e E4 C3 G3 C4 E4 C3 G3", "CEG:4", "0-1f 1-2f 2-3f 3-4f"),  # on the beat an octave below: the hand moves
        ("B3e E4 C3 G3 B3 E4 C3 G3", "CEGB:4", "0-2f 2-4f"),  # a seventh below it does not
        ("C3h C3h ; rq E3q rq E3q", "CEG:4", "0-2f 2-4f"),  # two notes, the first held under the second
        ("C3q E3 C3 E3", "CEG:4", "0-1 1-2 2-3 3-4"),  # two notes, one after the other: none
        ("C3q C3 C3 C3 ; E3e G3 E3 G3 E3 G3 E3 G3", "CEG:4", "0-1f 1-2f 2-3f 3-4f"),  # a bass with its first note
        ("C3q C3 C3 C3 ; E3e F3 E3 F3 E3 F3 E3 F3", "CEG:4", "0-1 1-2 2-3 3-4"),  # a voice in steps over a bass: none
        ("C3+E3e G3 C3+E3 G3 C3+E3 G3 C3+E3 G3", "CEG:4", "0-1 1-2 2-3 3-4"),  # thirds that move on in one voice: none
        ("C3e3 C4 C3 C3 C4 C3 C3 C4 C3 C3 C4 C3", "CEG:4", "0-1 1-2 2-3 3-4"),  # two notes in turn, three to a beat
        ("C3s Eb3 Gb3 Eb3 " * 4, "CEbGb:4", "0-1f 1-2f 2-3f 3-4f"),  # a minor third is a leap
    ],
)  # fmt: skip
def test_the_shortest_turn_that_comes_again_is_the_figure(left, chords, found):
    assert windows(left, chords) == found


def test_the_right_hand_has_no_bass_to_strike_with_the_first_note_of_a_figure():
    upper = "A4q A4 A4 A4 ; C5e E5 C5 E5 C5 E5 C5 E5"
    made = material(score_of(right=upper, left="A3w"), "ACE:4")
    assert not any(window.figure for window in made.windows[1])


def test_a_figure_of_three_beats_is_a_bar_long():
    assert windows("C3e G3 C4 E4 C4 G3 | F3 C4 F4 A4 F4 C4", "CEG:3 FAC:3", "3/4") == "0-3f 3-6f"


@pytest.mark.parametrize(
    ("left", "metre", "found"),
    [
        ("C3e E3+G3 " * 4, "2/2", "0-1f 1-2f 2-3f 3-4f"),  # twice in a beat of a half note
        ("C3s E3+G3 " * 8, "4/4", "0-1 1-2 2-3 3-4"),  # and not in one of a quarter
    ],
)
def test_a_bass_with_its_chord_may_come_twice_in_a_long_beat(left, metre, found):
    assert windows(left, "CEG:4", metre) == found


def test_a_broken_chord_that_comes_once_is_a_figure_of_half_a_bar_by_its_texture():
    once = "C4e G4 E4 C5 G4q E4q"
    assert windows(once, "CEG:4", texture="broken chord").startswith("0-2f")
    assert "f" not in windows(once, "CEG:4")


def test_a_bass_and_its_chords_are_one_figure_under_any_harmony():
    waltz = "C3q G3+B3 G3+B3 | C3q E3+G3 E3+G3"
    assert windows(waltz, "CEG:1 GBDF/G:2 CEG:3", metre="3/4") == "0-3f 3-6f"


def test_a_figure_is_cut_where_the_harmony_changes_and_none_explains_all_of_it():
    two = "C3e G3 A2 F3 C3 G3 A2 F3"
    assert windows(two, "CEG:1 FAC/A:1 CEG:1 FAC/A:1") == "0-1f 1-2f 2-3f 3-4f"
    one = "C3e G3 E3 G3 C3 G3 E3 G3"
    assert windows(one, "CEG:1 GBD:1 CEG:1 GBD:1") == "0-2f 2-4f"


def test_a_figure_may_stop_for_as_long_as_a_bar_and_no_longer():
    """Two halves of a bar lie between the turns; then three."""
    assert windows("C4e G4 E4 G4 C4h | C4h D4e A4 F4 A4", "CEG:6 DFA:2") == "0-2f 2-3 4-5 6-8f"
    assert "f" not in windows("C4e G4 E4 G4 C4h | C4w | D4e A4 F4 A4 D4h", "CEG:8 DFA:4")


def test_a_figure_in_a_long_bar_may_come_again_after_any_number_of_beats_in_it():
    """Fourteen beats to the bar, and between the turns twelve on one chord."""
    left = "C4s G4 E4 G4 C4+E4q " + "C4+E4q " * 11 + "D4s A4 F4 A4"
    assert windows(left, "CEG:13 DFA:1", metre="14/4", right="E6w E6w E6w E6h").endswith("12-13 13-14f")


def test_a_broken_chord_that_comes_once_is_a_bar_long_where_the_bar_has_no_half():
    """Nor has a bar of two quarters: its halves are beats."""
    assert windows("C4e G4 E4 C5 G4q", "CEG:3", metre="3/4", texture="broken chord") == "0-3f"
    two = "C4e G4 E4s C5 G4 E4"
    assert windows(two, "CEG:2", metre="2/4", right="E6h", texture="broken chord") == "0-2f"
