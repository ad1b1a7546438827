"""The names of bars: as printed, upbeats too, and one name for a bar that a repeat sign divides."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.errors import ContentError
from sitegen.places.bars import find_bars
from sitegen.places.finding import find_note, find_spot
from sitegen.places.naming import name_bars
from sitegen.places.parsing import parse_place
from sitegen.places.printing import bar_names, place_of_bars, place_of_note
from sitegen.score import Score
from tests.notation import score_of
from tests.places.dividing import divided

SCORE = score_of(right="C5q D5 E5 F5 | G5q A5 B5 C6 | D6w")


def numbered(score: Score, *numbers: str) -> Score:
    bars = tuple(replace(bar, number=number) for bar, number in zip(score.bars, numbers, strict=True))
    return replace(score, bars=bars)


def said_of(score: Score, id: str) -> str:
    return place_of_note(score, next(note for note in score.notes if note.id == id))


def indices(score: Score, text: str) -> tuple[int, int]:
    return find_bars(name_bars(score.bars, score.ticks_per_quarter), parse_place(text))


def fault(score: Score, text: str) -> str:
    with pytest.raises(ContentError) as raised:
        indices(score, text)
    return str(raised.value)


@pytest.mark.parametrize("second", ["2", "2a", "X1", "3"])
def test_a_bar_divided_by_a_repeat_sign_is_one_bar_whatever_its_second_half_is_called(second: str) -> None:
    score = divided(SCORE, 1, 3, second)
    assert said_of(score, "B5") == "bar 2, beat 3, right hand, B5"
    assert said_of(score, "C6") == "bar 2, beat 4, right hand, C6"
    assert find_note(score, parse_place("bar 2, beat 4, top note")).id == "C6"
    q = score.ticks_per_quarter
    assert (find_spot(score, parse_place("bar 2")).onset, find_spot(score, parse_place("bar 2")).end) == (4 * q, 8 * q)
    assert indices(score, "bars 1-2") == (0, 2)
    assert place_of_bars(score, 4 * q, 8 * q) == "bar 2"
    assert place_of_bars(score, 0, 8 * q) == "bars 1-2"


def test_both_halves_with_letters_are_the_bar_of_their_number() -> None:
    score = divided(SCORE, 1, 3, "2b", first="2a")
    assert said_of(score, "C6") == "bar 2, beat 4, right hand, C6"
    assert indices(score, "2") == (1, 2)


@pytest.mark.parametrize(("second", "half"), [("2a", "2a"), ("X1", "x1"), ("2bis", "2bis"), ("2", "2 (second)")])
def test_a_half_is_understood_by_the_number_that_the_file_gives_it(second: str, half: str) -> None:
    assert indices(divided(SCORE, 1, 3, second), f"bar {half}") == (2, 2)


def test_short_bars_with_numbers_of_their_own_and_no_repeat_sign_between_them_are_two() -> None:
    score = numbered(divided(SCORE, 1, 3, "3", repeat=False), "1", "2", "3", "4")
    assert bar_names(score) == ("1", "2", "3", "4")
    assert said_of(score, "C6") == "bar 3, beat 4, right hand, C6"


def test_a_first_and_a_second_ending_are_two_bars() -> None:
    score = divided(SCORE, 1, 2, "2")
    bars = [replace(bar, endings=(index,) if index in (1, 2) else ()) for index, bar in enumerate(score.bars)]
    assert bar_names(replace(score, bars=tuple(bars))) == ("1", "2 (first)", "2 (second)", "3")


def test_a_full_bar_that_the_file_does_not_count_goes_by_its_own_name() -> None:
    score = numbered(SCORE, "53", "X3", "54")
    assert said_of(score, "B5") == "bar X3, beat 3, right hand, B5"
    assert find_note(score, parse_place("bar x3, beat 3, RH, B5")).id == "B5"


def test_the_upbeat_goes_by_its_printed_number_and_by_its_name() -> None:
    score = score_of(right="G4q | C5q D5 E5 F5")
    for text in ("upbeat", "bar 0", "0", "pickup"):
        assert indices(score, text) == (0, 0)
    assert indices(score, "upbeat-1") == (0, 1)
    assert find_note(score, parse_place("upbeat, beat 4, RH, top note")).id == "G4"
    assert "the score has no upbeat. Its bars are 1 to 3" in fault(SCORE, "upbeat")
    assert "the score has no bar 0" in fault(SCORE, "0")


def test_an_upbeat_with_the_number_of_the_first_bar_is_bar_0() -> None:
    score = numbered(score_of(right="G4q | C5q D5 E5 F5"), "1", "1")
    assert said_of(score, "G4") == "bar 0, beat 4, right hand, G4"
    assert indices(score, "bar 1") == (1, 1)


def test_an_upbeat_that_is_counted_as_bar_1_is_understood_as_0_too() -> None:
    score = numbered(score_of(right="G4q | C5q D5 E5 F5"), "1", "2")
    assert said_of(score, "G4") == "bar 1, beat 4, right hand, G4"
    assert indices(score, "0") == indices(score, "1") == (0, 0)


def test_of_two_bars_with_one_number_it_must_be_said_which() -> None:
    score = numbered(score_of(right="C5w | D5w | E5w | F5w"), "1", "2", "1", "2")
    assert fault(score, "bar 1") == "there are 2 bars 1. Write bar 1 (first) or bar 1 (second)"
    assert indices(score, "bar 1 (second)") == (2, 2)
    assert indices(score, "bars 1 (second)-2 (second)") == (2, 3)


def test_a_first_and_a_second_ending_of_one_number_are_meant_together() -> None:
    score = numbered(SCORE, "1", "2", "2")
    assert indices(score, "bar 2") == (1, 2)
    assert indices(score, "bars 1-2") == (0, 2)
    assert indices(score, "bar 2 (first)") == (1, 1)


def test_names_that_could_not_be_said_are_made_so() -> None:
    score = numbered(SCORE, "1-1", "1, 2", "3 (a)")
    for bar, name in zip(score.bars, bar_names(score), strict=True):
        assert indices(score, f"bar {name}") == (bar.index, bar.index)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("bar 9", "the score has no bar 9. Its bars are 1 to 12a"),
        ("bar 5", "the score has no bar 5. Its bars are 1 to 12a, and the nearest are 1 and 12"),
        ("bar 12b", "the score has no bar 12b. Its bars are 1 to 12a, and the nearest are 12 and 12a"),
        ("bars 12-1", "'bars 12-1' ends before it begins. Give the earlier bar first"),
    ],
)
def test_a_bar_that_is_not_there_is_told_with_the_nearest(text: str, said: str) -> None:
    assert said in fault(numbered(SCORE, "1", "12", "12a"), text)


def test_a_bar_whose_number_is_of_no_bar_is_no_neighbour() -> None:
    score = numbered(SCORE, "1", "9" * 5000, "3")
    assert "and the nearest are 1 and 3" in fault(score, "bar 2")
