"""What outweighs what where phrases are divided: lengths against pauses, cadences, slurs and returns."""

from __future__ import annotations

import pytest

from sitegen.analysis.form.phrase_evidence import PhraseStart
from sitegen.analysis.form.phrases import best_starts, cost_of


def divided(bars, evidence):
    """The bars at which phrases begin; ``evidence`` tells for a bar what speaks for it there and how much."""
    places = [PhraseStart(bar, bar, tuple(evidence.get(bar, {}).items())) for bar in range(bars)]
    return best_starts(places)


@pytest.mark.parametrize(
    ("kind", "enough"),
    [
        ("fermata", 0.85), ("repeat", 1.13), ("turn", 2.0), ("opening", 1.7), ("cadence", 4.25), ("slur", 5.67),
        ("rest", 6.8), ("arrival", 9.71), ("figure", 8.5), ("pause", 8.5), ("parallel", 8.5),
    ],
)  # fmt: skip
def test_how_much_it_takes_to_divide_eight_bars_into_five_and_three(kind, enough):
    """Less than one fermata, about one repeat sign, two changes of key; pauses, rests and cadences only together."""
    assert divided(8, {5: {kind: 1.1 * enough}}) == [0, 5]
    assert 5 not in divided(8, {5: {kind: 0.9 * enough}})


@pytest.mark.parametrize(("kind", "enough"), [("in slur", 1.44), ("off metre", 8.67), ("inverted", 4.33)])
def test_how_much_it_takes_to_keep_five_bars_together_that_a_repeat_sign_would_divide(kind, enough):
    """Two repeat signs are taken back by a slur and a half that go on over them."""
    assert divided(8, {5: {"repeat": 2.0, kind: 1.1 * enough}}) != [0, 5]
    assert divided(8, {5: {"repeat": 2.0, kind: 0.9 * enough}}) == [0, 5]


def test_four_bars_cost_least_then_five_or_eight_and_others_more_the_odder_they_are():
    by_cost = sorted(range(1, 13), key=cost_of)
    assert by_cost == [4, 5, 8, 6, 7, 3, 2, 9, 10, 11, 12, 1]


def test_two_phrases_of_four_bars_are_plainer_than_one_of_eight_and_one_of_eight_than_two_and_six():
    assert divided(8, {}) == [0, 4]
    assert 2 * cost_of(4) < cost_of(8) < cost_of(2) + cost_of(6)
    assert divided(8, {4: {"in slur": 0.95}}) == [0]
    assert divided(8, {4: {"in slur": 0.85}}) == [0, 4]


def test_a_bar_by_itself_takes_more_than_two_repeat_signs_before_and_after_it():
    assert divided(9, {4: {"repeat": 2.1}, 5: {"repeat": 3.5}}) == [0, 5]
    assert divided(9, {4: {"repeat": 2.4}, 5: {"repeat": 3.5}}) == [0, 4, 5]


def test_no_phrase_is_longer_than_twelve_bars():
    slurred = {bar: {"in slur": 9.0} for bar in range(1, 13)}
    assert divided(16, slurred | {12: {"repeat": 9.0}}) == [0, 12]
    assert len(divided(17, slurred | {13: {"repeat": 9.0}})) == 3
