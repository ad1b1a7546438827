"""A piece's own harmonic rhythm: how often it changes, and where the bars around do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sitegen.analysis.harmony.beliefs import changes_of
from sitegen.analysis.harmony.chords import Floats
from sitegen.analysis.harmony.evidence import evidence_of
from sitegen.analysis.harmony.finding import last_hearing
from sitegen.analysis.harmony.grid import Grid, grid_of
from sitegen.analysis.harmony.harmonic_rhythm import HABITS, habits_of, rhythm_from_named, rhythm_named
from sitegen.analysis.harmony.lattice import Lattice, lattice_of
from sitegen.analysis.harmony.stretches import stretches_of
from sitegen.analysis.harmony.sums import weigh
from sitegen.analysis.harmony.weights import fitted
from tests.notation import score_of

USUAL = np.array([0.8, 0.5, 0.4, 0.1, 0.05])
OFTEN = "as often on this level of the metre"
QUARTERS = " | ".join(["C4q D4q E4q F4q"] * 4)
"""Four bars of four; beats 1, 2, 3, 4 are bar, beat, half bar, beat."""


def grid(right: str = QUARTERS) -> Grid:
    return grid_of(score_of(right=right))


def habit(table: Floats, name: str) -> Floats:
    return table[:, HABITS.index(name)]


def test_where_every_beat_changes_the_next_hearing_expects_it_on_beats_and_where_none_does_it_does_not():
    places = grid()
    always, never = (habits_of(places, np.where(places.level == 2, belief, 0.5), USUAL) for belief in (1.0, 0.0))
    beats = places.level == 2
    assert (habit(always, OFTEN)[beats] > 0).all()
    assert (habit(never, OFTEN)[beats] < 0).all()
    assert (habit(always, OFTEN)[~beats] == habit(never, OFTEN)[~beats]).all()


def test_a_piece_as_usual_says_nothing_about_how_often():
    places = grid()
    table = habits_of(places, USUAL[places.level] * len(places) / (len(places) - (places.level == 0)), USUAL)
    assert np.abs(habit(table, OFTEN)[places.level > 0]).max() < 0.1


def test_a_change_is_seen_from_the_bars_and_beats_around_it():
    places = grid()
    change = np.zeros(len(places))
    change[5] = 0.7  # bar 2, beat 2
    table = habits_of(places, change, USUAL)
    for name, seen_from in {
        "a bar before": 9, "a bar after": 1, "two bars before": 13, "a beat before": 6, "a beat after": 4,
    }.items():  # fmt: skip
        assert np.flatnonzero(habit(table, name)).tolist() == [seen_from], name
        assert habit(table, name)[seen_from] == 0.7


def test_the_bar_answers_that_of_two_bars_before_and_of_two_bars_after():
    places = grid()
    change = np.zeros(len(places))
    change[13] = 0.7  # bar 4, beat 2
    table = habits_of(places, change, USUAL)
    assert np.flatnonzero(habit(table, "two bars after")).tolist() == [5]  # bar 2, beat 2
    assert np.flatnonzero(habit(table, "a bar after")).tolist() == [9]
    assert habit(table, "two bars after")[5] == 0.7


def test_a_few_bars_are_weighed_against_what_is_usual():
    """Eight beats without a change leave five thirteenths of what is usual, for five as usual are heard beforehand; of
    a place of the bar, in four bars, a third is left, for two like all of their level are."""
    places = grid()
    table = habits_of(places, np.zeros(len(places)), USUAL)
    beats = places.level == 2
    assert np.exp(habit(table, OFTEN)[beats]) == pytest.approx(5 / 13)
    whole = habit(table, OFTEN) + habit(table, "as often at this place of the bar")
    assert np.exp(whole[beats]) == pytest.approx(1 / 3)


def test_a_bar_in_which_nothing_begins_there_is_told_from_one_without_a_change():
    table = habits_of(grid("C4q D4q E4q F4q | C4h E4h | C4q D4q E4q F4q"), np.zeros(10), USUAL)
    missing = habit(table, "nothing begins there a bar before")
    assert missing[[7, 9]].tolist() == [1, 1]  # beats 2 and 4 of bar 3
    assert missing[[6, 8]].tolist() == [0, 0]


def test_beats_that_change_at_one_place_of_the_bar_alone_are_told_apart():
    places = grid()
    change = np.zeros(len(places))
    change[3::4] = 1  # beat 4 of each bar
    place = habit(habits_of(places, change, USUAL), "as often at this place of the bar")
    assert place[7] > 0 > place[5]


def test_a_piece_is_heard_three_times():
    """Each time with the harmonic rhythm that it had the time before; a fourth would change it a little more."""
    score = score_of(right="E4+G4+C5h F4+A4+C5h | D4+G4+B4h. F4+G4+B4q | E4+G4+C5w", left="C3h F3h | G2w | C3w")
    places, rhythm = grid_of(score), fitted().rhythm
    first = lattice_of(
        places, stretches_of(score, places, evidence_of(score, places)), fitted().chords, fitted().mixtures
    )

    def again(last: Lattice) -> Lattice:
        habits = habits_of(places, changes_of(last, weigh(first))[0], rhythm.usual)
        return replace(first, change=first.change + habits @ rhythm.habits)

    third = again(again(first))
    assert last_hearing(places, first, rhythm).change.tolist() == third.change.tolist()
    assert last_hearing(places, first, rhythm).change.tolist() != again(third).change.tolist()


def test_weights_survive_their_file():
    weights = fitted().rhythm
    again = rhythm_from_named(rhythm_named(weights))
    assert again.habits.tolist() == weights.habits.tolist()
    assert again.usual.tolist() == weights.usual.tolist()


def test_a_score_of_one_place_has_no_habits():
    assert not habits_of(grid("C4w"), np.ones(1), USUAL).any()
