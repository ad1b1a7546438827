"""Places as musicians speak: what is printed is found again, and what is not there is told with the nearest."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitegen.errors import ContentError
from sitegen.places.finding import find_note, find_spot
from sitegen.places.parsing import parse_place
from sitegen.places.printing import places_of_notes
from tests.generated_scores import scores
from tests.notation import score_of
from tests.places.dividing import divided

SCORE = score_of(
    right="G4q | E5q D5e C5 B4q C5+E5+G5 | D5g G5q F5e E5 D5h",
    left="rq | C4e G4 E4 G4 C4 G4 E4 G4 | B3 G4 D4 G4 B3h",
)


def note(text, score=SCORE):
    return find_note(score, parse_place(text))


def place(text, score=SCORE):
    return find_spot(score, parse_place(text))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("bar 0, beat 4, right hand, top note", "G4"),
        ("bar 1, beat 1, right hand, E5", "E5"),
        ("bar 1, beat 2+1/2, right hand, top note", "C5"),
        ("bar 1, beat 4, right hand, top note", "G5"),
        ("bar 1, beat 4, right hand, bottom note", "C5.2"),
        ("bar 1, beat 4, right hand, E", "E5.2"),
        ("bar 1, beat 4, staff 1, G5", "G5"),
        ("bar 1, beat 3, right hand, B4", "B4"),
        ("bar 2, left hand, D4", "D4"),
        ("bar 2, beat 1, right hand, D5, grace note", "D5.2"),
    ],
)
def test_a_place_finds_its_note(text, found):
    assert note(text).id == found


@settings(max_examples=40, deadline=None)
@given(scores())
def test_every_place_that_is_printed_is_found(score):
    for id, text in places_of_notes(score).items():
        assert note(text, score).id == id
        short = text.removeprefix("bar ").replace("right hand", "RH").replace("left hand", "lh").replace(",", "")
        assert note(short, score).id == id


@settings(max_examples=30, deadline=None)
@given(scores(), st.data())
def test_what_is_printed_of_a_score_with_a_divided_bar_is_found(score, data):
    """Whatever the file calls the second half; and the names of two notes are never the same."""
    bar = data.draw(st.sampled_from(score.bars))
    quarters = bar.length // score.ticks_per_quarter
    if quarters < 2:
        return
    second = data.draw(st.sampled_from(["X1", bar.number, f"{bar.number}a", "77"]))
    score = divided(score, bar.index, data.draw(st.integers(1, quarters - 1)), second)
    found = places_of_notes(score)
    assert len(set(found.values())) == len(score.notes)
    for id, text in found.items():
        assert note(text, score).id == id


def test_a_stretch_of_bars_and_a_moment():
    q = SCORE.ticks_per_quarter
    assert (place("bars 1-2, left hand").onset, place("bars 1-2, left hand").end) == (q, 9 * q)
    assert place("bars 1-2, left hand").staves == (2,)
    assert place("bar 1, beat 3").onset == 3 * q
    assert place("bar 1").end == 5 * q


def message(text):
    with pytest.raises(ContentError) as error:
        note(text)
    return str(error.value)


def test_a_place_that_matches_nothing_names_the_nearest():
    said = message("bar 1, beat 1, right hand, F5")
    assert said.startswith("'bar 1, beat 1, right hand, F5' matches no note.")
    assert "'bar 1, beat 1, right hand, E5'" in said


def test_a_place_that_matches_two_things_names_both():
    said = message("bar 1, left hand, C4")
    assert "matches 2 notes" in said
    assert "beat 1" in said
    assert "beat 3" in said


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("bar 9, beat 1, right hand, E5", "no bar 9. Its bars are 0 to 2"),
        ("bar 1, beat 6, right hand, E5", "bar 1 has no place 'beat 6'. It has 4 beats"),
        ("bar 1, beat 1, third hand, E5", "'third hand'"),
        ("bar 1, beat 1, staff 4, E5", "no staff 4"),
        ("the beginning", "does not say where"),
        ("bars 2-1, left hand, E5", "ends before it begins"),
    ],
)
def test_what_is_wrong_with_a_place_is_said(text, what):
    assert what in message(text)
