"""What becomes of a few studies: which is practised on which day, and what comes back when.

A plan is written in a line a day: ``bass 1-8 new 20``. Bars are counted from 0.
"""

from __future__ import annotations

import pytest

from sitegen.planning import LONGEST, Habits, Study, days_needed, over_days, plan_days
from sitegen.planning.days import day_offset
from sitegen.planning.nouns import Day

DAILY = Habits(days=7, minutes=20)


def study(name: str, minutes: float, bars: int = 16, joints: tuple[int, ...] = (4, 8, 12)) -> Study:
    """A study of 16 bars in phrases of four that sounds for 30 seconds."""
    return Study(name, 0, bars - 1, minutes, 30, joints)


def lines(days: tuple[Day, ...]) -> list[str]:
    return ["; ".join(f"{t.study} {t.first}-{t.last} {t.kind} {t.minutes}" for t in day.tasks) for day in days]


def test_each_stage_has_a_day_and_comes_back_the_day_after() -> None:
    plan = plan_days([study("bass", 10), study("blocks", 12), study("tune", 13)], DAILY)
    assert lines(plan) == [
        "bass 0-15 new 20",
        "bass 0-15 again 2; blocks 0-15 new 18",
        "blocks 0-15 again 2; tune 0-15 new 18",
    ]


def test_what_was_new_comes_back_after_one_three_and_seven_days() -> None:
    plan = plan_days([study(name, 13) for name in "abcdefghi"], DAILY)
    came = [day.number for day in plan for task in day.tasks if task.study == "a" and task.kind == "again"]
    assert came == [2, 4, 8]


def test_a_stage_that_takes_longer_goes_on_phrase_by_phrase() -> None:
    plan = plan_days([study("blocks", 25), study("written", 13)], DAILY)
    assert [line.split("; ")[-1] for line in lines(plan)] == [
        "blocks 0-7 new 20", "blocks 8-15 new 18", "written 0-15 new 18",
    ]  # fmt: skip


def test_phrases_are_not_cut() -> None:
    (first, second, _) = plan_days([study("written", 26, joints=(6, 12))], DAILY)
    assert [(first.tasks[-1].first, first.tasks[-1].last), (second.tasks[-1].first, second.tasks[-1].last)] == [
        (0, 5), (6, 15),
    ]  # fmt: skip


def test_one_phrase_of_much_work_is_gone_on_with_and_has_no_return_meanwhile() -> None:
    plan = plan_days([study("written", 40, joints=())], Habits(7, 20))
    assert lines(plan)[:3] == ["written 0-3 new 20", "written 0-3 again 2; written 4-11 new 18",
                               "written 4-11 again 2; written 12-15 new 18"]  # fmt: skip
    plan = plan_days([study("written", 40, bars=4, joints=())], Habits(7, 20))
    assert lines(plan)[:2] == ["written 0-3 new 20", "written 0-3 on 20"]


def test_what_was_learnt_in_parts_is_played_through_in_the_end() -> None:
    plan = plan_days([study("bass", 5), study("written", 26)], DAILY)
    assert lines(plan)[-1] == "written 0-15 through 20"
    assert "through" not in " ".join(lines(plan_days([study("bass", 5), study("written", 13)], DAILY)))


def test_returns_have_a_third_of_the_day_and_the_rest_wait() -> None:
    # each of the four comes back for four minutes, and of twenty only six are for returns
    long = [Study(name, 0, 15, 13, 70) for name in "abcd"]
    plan = plan_days(long, Habits(7, 20, returns=(1, 2)))
    for day in plan:
        back = [task.minutes for task in day.tasks if task.kind == "again"]
        assert sum(back) <= 20 / 3
        assert sum(task.minutes for task in day.tasks) == 20
    assert [[t.study for t in day.tasks if t.kind == "again"] for day in plan] == [[], ["a"], ["a"], ["b"]]


def test_a_return_is_once_slowly_and_once_at_the_tempo_and_no_less_than_two_minutes() -> None:
    long, short = Study("long", 0, 15, 13, 100), Study("short", 0, 15, 13, 10)
    assert lines(plan_days([long, short, study("tune", 13)], DAILY)) == [
        "long 0-15 new 20", "long 0-15 again 5; short 0-15 new 15", "short 0-15 again 2; tune 0-15 new 18",
    ]  # fmt: skip


def test_what_comes_back_with_others_on_a_day_of_twenty_minutes_has_six_at_most() -> None:
    plan = plan_days([Study(name, 0, 15, 13, 10) for name in "abcdefgh"], Habits(7, 20, returns=(1, 2, 3, 4)))
    assert [sum(t.kind == "again" for t in day.tasks) for day in plan] == [0, 1, 2, 3, 3, 3, 3, 3]


def test_the_days_of_a_week_lie_apart_and_returns_count_days_of_the_calendar() -> None:
    habits = Habits(days=3, minutes=20)
    assert [day_offset(habits, number) for number in range(1, 6)] == [0, 2, 4, 7, 9]
    plan = plan_days([study(name, 13) for name in "abcd"], habits)
    came = [day.offset for day in plan for task in day.tasks if task.study == "a" and task.kind == "again"]
    assert came == [2, 4, 7]


def test_a_studio_may_wish_no_returns() -> None:
    plan = plan_days([study("bass", 10), study("blocks", 12)], Habits(7, 20, returns=()))
    assert lines(plan) == ["bass 0-15 new 20", "blocks 0-15 new 20"]


def test_a_plan_is_never_longer_than_a_term() -> None:
    studies = [study(f"stage {number}", 13) for number in range(80)]
    assert days_needed(studies, DAILY) == 80
    assert len(plan_days(studies, DAILY)) == LONGEST == 60


@pytest.mark.parametrize("count", [1, 2, 5, 12])
def test_what_is_set_for_a_week_fills_the_week(count: int) -> None:
    plan = over_days([study("bass", 10), study("blocks", 20), study("tune", 5)], DAILY, count)
    assert len(plan) == count
    assert all(day.tasks for day in plan)
    new = [task.study for day in plan for task in day.tasks if task.kind == "new"]
    assert list(dict.fromkeys(new)) == ["bass", "blocks", "tune"]


def test_each_study_of_a_week_has_its_share_of_the_days() -> None:
    plan = over_days([study("bass", 10), study("blocks", 40)], Habits(5, 20, returns=()), 5)
    assert lines(plan) == [
        "bass 0-15 new 20", "blocks 0-3 new 20", "blocks 4-7 new 20", "blocks 8-11 new 20", "blocks 12-15 new 20",
    ]  # fmt: skip


def test_nothing_to_learn_is_no_plan() -> None:
    assert plan_days([], DAILY) == ()
    assert days_needed([], DAILY) == 0
