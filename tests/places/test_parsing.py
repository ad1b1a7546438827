"""The forms in which a place may be said, and what each means."""

from __future__ import annotations

from fractions import Fraction

import pytest

from sitegen.errors import ContentError
from sitegen.places.parsing import parse_bars, parse_place


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("bar 5", "5", "5"),
        ("bars 5-8", "5", "8"),
        ("bars 5–8", "5", "8"),
        ("bars 5 — 8", "5", "8"),
        ("5-8", "5", "8"),
        ("5–8", "5", "8"),
        ("‘5-8’", "5", "8"),
        ("5 to 8", "5", "8"),
        ("5", "5", "5"),
        (5, "5", "5"),
        ("Bars 5-8", "5", "8"),
        ("BAR 5", "5", "5"),
        ("bar 5-8", "5", "8"),
        ("bar 5 to bar 8", "5", "8"),
        ("b. 5", "5", "5"),
        ("bb. 5-8", "5", "8"),
        ("m. 5", "5", "5"),
        ("mm. 5-8", "5", "8"),
        ("measures 5-8", "5", "8"),
        ("0", "0", "0"),
        ("upbeat", "upbeat", "upbeat"),
        ("the upbeat", "upbeat", "upbeat"),
        ("upbeat-4", "upbeat", "4"),
        ("12a-14", "12a", "14"),
        ("bar X3", "X3", "X3"),
        ("X3", "X3", "X3"),
        ("bar 1 (second)", "1 (second)", "1 (second)"),
        ("bar 1 (2nd)", "1 (second)", "1 (second)"),
        ("bars 1 (first)-4 (second)", "1 (first)", "4 (second)"),
    ],
)
def test_bars_are_said_in_many_ways(text: object, first: str, last: str) -> None:
    place = parse_bars(text)
    assert (place.first, place.last) == (first, last)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("beat 2", {"beat": 1}),
        ("Beat 2", {"beat": 1}),
        ("on beat 2", {"beat": 1}),
        ("beat 2+1/2", {"beat": Fraction(3, 2)}),
        ("beat 2 + 1/2", {"beat": Fraction(3, 2)}),
        ("beat 2 1/2", {"beat": Fraction(3, 2)}),
        ("beat 2½", {"beat": Fraction(3, 2)}),
        ("beat 2.5", {"beat": Fraction(3, 2)}),
        ("beat 2.33", {"beat": Fraction(4, 3)}),
        ("beat 1⅔", {"beat": Fraction(2, 3)}),
        ("right hand", {"hand": "right"}),
        ("RH", {"hand": "right"}),
        ("r.h.", {"hand": "right"}),
        ("R. H.", {"hand": "right"}),
        ("Left Hand", {"hand": "left"}),
        ("the left hand", {"hand": "left"}),
        ("lh", {"hand": "left"}),
        ("left", {"hand": "left"}),
        ("staff 2", {"staff": 2}),
        ("top note", {"height": "top"}),
        ("the highest note", {"height": "top"}),
        ("bottom note", {"height": "bottom"}),
        ("lowest", {"height": "bottom"}),
        ("F#4", {"step": "F", "alter": 1, "octave": 4}),
        ("f♯4", {"step": "F", "alter": 1, "octave": 4}),
        ("F sharp 4", {"step": "F", "alter": 1, "octave": 4}),
        ("B flat", {"step": "B", "alter": -1, "octave": None}),
        ("bb3", {"step": "B", "alter": -1, "octave": 3}),
        ("Ebb4", {"step": "E", "alter": -2, "octave": 4}),
        ("Fbbb4", {"step": "F", "alter": -3, "octave": 4}),
        ("C##5", {"step": "C", "alter": 2, "octave": 5}),
        ("Cx5", {"step": "C", "alter": 2, "octave": 5}),
        ("voice 2", {"voice": 2}),
        ("grace note", {"grace": True}),
        ("grace", {"grace": True}),
        ("F4 (second)", {"step": "F", "octave": 4, "count": 2}),
        ("F4 (2nd)", {"step": "F", "octave": 4, "count": 2}),
        ("F4 (12th)", {"step": "F", "octave": 4, "count": 12}),
    ],
)
def test_each_part_of_a_place_is_said_in_many_ways(words: str, said: dict[str, object]) -> None:
    for text in (f"bar 4, {words}", f"bar 4 {words}", f"4, {words}", f"BAR 4,  {words} "):
        place = parse_place(text)
        assert {name: getattr(place, name) for name in said} == said, text
        assert (place.first, place.last) == ("4", "4")


def test_parts_come_in_any_order_and_without_commas() -> None:
    place, short = parse_place("bar 4, beat 2, right hand, F#4, voice 1"), parse_place("4 beat 2 RH voice 1 f#4")
    assert (place.beat, place.hand, place.step, place.voice) == (short.beat, short.hand, short.step, short.voice)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("the beginning", "'the beginning' does not say where: it does not begin with a bar. Write 'bar 4, beat 2"),
        ("beat 2", "'beat 2' does not say where"),
        ("right hand, top note", "does not say where"),
        ("", "does not say where"),
        (None, "does not say where"),
        (True, "does not say where"),
        ("bar 1, beat 1, third hand, E5", "'third hand' in 'bar 1, beat 1, third hand, E5' is not understood. Write"),
        ("bar 1, beat 2.", "'beat 2.' in 'bar 1, beat 2.' is not understood. Write"),
        ("bar 1, beat 2+1/0", "'beat 2+1/0' in"),
        ("bar 1, LH, right hand", "says one thing twice: 'right hand'"),
        ("bars 1-4, beat 2", "names a beat of several bars. Name the bar of the beat"),
    ],
)
def test_what_is_not_understood_is_named_with_what_to_write(text: object, fault: str) -> None:
    with pytest.raises(ContentError) as raised:
        parse_place(text)
    assert fault in str(raised.value)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("first eight", "'first eight' names no bars. Write bars as printed, such as 5-8, or 5 for one"),
        ("bars 5-8, left hand", "'bars 5-8, left hand' names more than bars"),
        ("bar 5, beat 2", "names more than bars"),
    ],
)
def test_bars_alone_are_asked_for_where_no_more_is_meant(text: object, fault: str) -> None:
    with pytest.raises(ContentError) as raised:
        parse_bars(text)
    assert fault in str(raised.value)


@pytest.mark.parametrize("text", ["bar {0}", "bars 1-{0}", "bar 1, beat {0}", "bar 1, staff {0}", "{0}"])
def test_a_number_that_no_score_comes_to_is_a_fault(text: str) -> None:
    with pytest.raises(ContentError, match="no score comes to"):
        parse_place(text.format("9" * 5000))
