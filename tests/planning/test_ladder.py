"""How long a stage takes to learn: what it adds counts, and how long it is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.analysis import analyse
from sitegen.planning import studies_of, study_of
from sitegen.reduction import Stage, build_ladder
from sitegen.reduction.nouns import Difficulty
from sitegen.score import Score
from tests.notation import score_of

BAR = "C5q D5 E5 C5"
ROCKING = "C3e G3 E3 G3 C3 G3 E3 G3"


def ladder(bars: int = 8) -> tuple[Score, tuple[Stage, ...]]:
    score = score_of(right=" | ".join([BAR] * bars), left=" | ".join([ROCKING] * bars), metre="4/4")
    return score, tuple(build_ladder(score, analyse(score)))


def test_only_main_stages_are_planned_in_the_order_of_the_ladder() -> None:
    score, stages = ladder()
    assert [one.name for one in studies_of(score, stages)] == [s.slug for s in stages if not s.side_study]


def test_only_what_a_stage_adds_is_new() -> None:
    score, stages = ladder()
    studies = studies_of(score, stages)
    alone = study_of(score, stages[-1:], stages[-1])
    assert studies[-1].minutes < alone.minutes, "the stages before it are known"
    assert all(one.minutes > 4 * one.seconds / 60 for one in studies), "something of every stage is new"


def test_a_new_thing_takes_half_a_minute_and_going_through_four_times_its_sound() -> None:
    score, stages = ladder()
    one, same, harder = (
        replace(stages[-1], slug=slug, as_written=False, difficulty=Difficulty(rate))
        for slug, rate in (("one", 2.0), ("same", 2.0), ("harder", 3.0))
    )
    first, second, third = studies_of(score, [one, same, harder])
    seconds = first.seconds
    assert first.minutes == pytest.approx(seconds * (2 * 30 + 4) / 60)
    assert second.minutes == pytest.approx(seconds * (0.4 * 30 + 4) / 60), "a fifth of it is new all the same"
    assert third.minutes == pytest.approx(seconds * (1 * 30 + 4) / 60)


def test_twice_the_bars_take_twice_as_long() -> None:
    short, long = (studies_of(*ladder(bars)) for bars in (8, 16))
    for one, other in zip(short, long, strict=True):
        assert abs(other.minutes / one.minutes - 2) < 0.3
        assert abs(other.seconds / one.seconds - 2) < 0.3


def test_some_bars_take_their_share() -> None:
    score, stages = ladder()
    whole, half = study_of(score, stages, stages[-1]), study_of(score, stages, stages[-1], (0, 3), joints=(2, 4, 6))
    assert abs(half.minutes - whole.minutes / 2) < 0.01
    assert (half.first, half.last, half.joints) == (0, 3, (2,))
