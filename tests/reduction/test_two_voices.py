"""A piece of one line in each hand stays one: chords in one hand, the other hand's line over or under them."""

from __future__ import annotations

from tests.notation import score_of
from tests.reduction.reading import line, material, reduced, unsung

SIXTEENTHS = "C5s A4 F4 A4 C5 A4 C5s A4 F4 A4 C5 A4"
EIGHTHS = "F3e A3 C4 F3 A3 C4"


def blocks(right, left, staff, chords="FAC:3", metre="6/8"):
    score = score_of(right=right, left=left, metre=metre)
    return line(reduced("blocked chords", unsung(material(score, chords))), score, staff)


def test_of_two_figures_the_quicker_is_struck_as_chords_and_the_other_stays_a_line():
    assert blocks(SIXTEENTHS, EIGHTHS, 1) == "0 F4+A4+C5 3"
    assert blocks(SIXTEENTHS, EIGHTHS, 2) == "0 F3 3"
    left = SIXTEENTHS.replace("4", "2").replace("5", "3")
    assert blocks("F4e A4 C5 F4 A4 C5", left, 2) == "0 F2+A2+C3 3"
    assert blocks("F4e A4 C5 F4 A4 C5", left, 1) == "0 F4 3"


def test_a_line_s_chord_has_each_tone_once_and_its_bass_on_each_beat():
    right = "F4s A4 C5 F5 C5 A4 F4s A4 C5 F5 C5 A4 | F4e A4 C5 F4 A4 C5"
    left = "F3e A3 C4 F3 A3 C4 | F3s C3 A2 F2 A2 C3 C3s A2 F2 C2 F2 A2"
    assert blocks(right, left, 1, "FAC:6").startswith("0 A4+C5+F5 3 | ")
    assert blocks(right, left, 2, "FAC:6").endswith(" | 3 F2+A2+C3+F3 3/2 | 9/2 C2+F2+A2+C3 3/2")


def test_in_one_rhythm_both_hands_strike_the_chord():
    assert blocks("A4e C5 F5 A4 C5 F5", "F3e A3 C4 F3 A3 C4", 1) == "0 A4+C5+F5 3"
    assert blocks("A4e C5 F5 A4 C5 F5", "F3e A3 C4 F3 A3 C4", 2) == "0 F3+A3+C4 3"


def test_where_a_hand_has_chords_too_both_are_struck():
    right = SIXTEENTHS.replace("C5s A4 F4 A4", "C5s A4 F4+A4 A4")
    assert blocks(right, EIGHTHS, 2) == "0 F3+A3+C4 3"


def test_a_neighbour_note_a_semitone_from_a_tone_of_its_chord_is_not_held_with_it():
    """On its second beat the figure is of another harmony, in which the same note is no neighbour."""
    left = "D3s C#4 D4 E3 C#4 D4 D3 C#4 D4 E3 C#4 D4"
    made = blocks("F#5h.", left, 2, "DF#A:3/4 AC#E:3/4 DF#A:3/4 AC#E:3/4", "12/16")
    assert made == "0 D3+D4 3/4 | 3/4 E3+C#4 3/4 | 3/2 D3+D4 3/4 | 9/4 E3+C#4 3/4"


QUICK, SLOW = "C5s E5 G5 E5 " * 4, "C3e G3 E3 G3 " * 2
FIGURES, LINES = (QUICK, SLOW), ("C5h D5", "C3w")


def are_two_voices(*bars):
    """Whether bars of both hands, in C major, are a piece in two voices."""
    score = score_of(right=" | ".join(right for right, _ in bars), left=" | ".join(left for _, left in bars))
    return unsung(material(score, f"CEG:{4 * len(bars)}")).two_voices


def test_a_quarter_of_the_bars_has_figures_in_both_hands():
    assert are_two_voices(*[FIGURES] * 2, *[LINES] * 6)
    assert not are_two_voices(FIGURES, *[LINES] * 7)


def test_hardly_a_note_is_struck_with_another_of_its_hand():
    assert are_two_voices(FIGURES, FIGURES, ("C5+E5q C5 C5 C5", "C3w"))
    assert not are_two_voices(FIGURES, FIGURES, ("C5+E5q C5+E5 C5 C5", "C3w"))


def test_two_figures_in_one_rhythm_are_one_broken_chord():
    assert not are_two_voices(*[("C5e E5 G5 E5 " * 2, SLOW)] * 4)
