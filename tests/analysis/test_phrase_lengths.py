"""What outweighs what where phrases are divided: lengths against pauses, cadences, slurs and returns."""

from __future__ import annotations

import pytest

from sitegen.analysis.phrase_evidence import Place
from sitegen.analysis.phrases import best_starts, cost_of


def divided(bars, evidence):
    """The bars at which phrases begin; ``evidence`` tells for a bar what speaks for it there and how much."""
    places = [Place(bar, bar, tuple(evidence.get(bar, {}).items())) for bar in range(bars)]
    return best_starts(places)


@pytest.mark.parametrize(
    ("kind", "enough"),
    [
        ("fermata", 0.66), ("repeat", 0.98), ("turn", 1.97), ("opening", 1.97), ("cadence", 2.46), ("slur", 3.28),
        ("rest", 3.93), ("pause", 4.91), ("parallel", 4.91),
    ],
)  # fmt: skip
def test_how_much_it_takes_to_divide_eight_bars_into_five_and_three(kind, enough):
    """Less than one fermata, about one repeat sign, two changes of key; pauses, rests and returns only together."""
    assert divided(8, {5: {kind: 1.1 * enough}}) == [0, 5]
    assert 5 not in divided(8, {5: {kind: 0.9 * enough}})


@pytest.mark.parametrize(("kind", "enough"), [("in slur", 1.3), ("off metre", 6.5)])
def test_how_much_it_takes_to_keep_five_bars_together_that_a_repeat_sign_would_divide(kind, enough):
    """Two repeat signs are taken back by one slur that goes on over them."""
    assert divided(8, {5: {"repeat": 1.96, kind: 1.1 * enough}}) != [0, 5]
    assert divided(8, {5: {"repeat": 1.96, kind: 0.9 * enough}}) == [0, 5]


def test_four_bars_cost_least_then_eight_then_two_and_odd_lengths_more_the_odder_they_are():
    assert cost_of(4) < cost_of(8) < cost_of(5) < cost_of(2) < cost_of(3) < cost_of(6) < cost_of(7) < cost_of(12)


def test_two_phrases_of_four_bars_cost_as_much_as_one_of_eight_and_three_as_one_of_two():
    assert 2 * cost_of(4) == cost_of(8)
    assert cost_of(2) == 3 * cost_of(4)


def test_an_odd_length_costs_more_by_the_square_of_its_distance_from_four():
    odd = 0.9 + cost_of(4)
    assert cost_of(5) - odd == pytest.approx(0.06, abs=0.01)
    assert cost_of(3) - odd == pytest.approx(0.10, abs=0.01)
    assert cost_of(12) - odd == pytest.approx(1.51, abs=0.01)


def test_a_scrap_of_one_bar_costs_more_than_any_phrase():
    assert cost_of(1) == 8 * cost_of(4) > cost_of(12)


def test_no_phrase_is_longer_than_twelve_bars():
    slurred = {bar: {"in slur": 9.0} for bar in range(1, 13)}
    assert divided(16, slurred | {12: {"repeat": 9.0}}) == [0, 12]
    assert len(divided(17, slurred | {13: {"repeat": 9.0}})) == 3
