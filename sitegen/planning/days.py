"""From what is to be learnt to days of practice.

- **One new thing a day.** What is learnt second disturbs what was learnt first, so a day begins something new only when
  the one before is learnt; what takes longer goes on, a phrase or some phrases at a time, since a phrase is what one
  hears and breathes as a whole.
- **What was new comes back**, after a night, after some days, after a week: a few minutes at the beginning of the day,
  while hand and ear are fresh. That is when one sees what has stayed.
- **Returns have a third of the day at most**: without something new a pupil does not go on. Whatever finds no room
  waits for the next day, the longest waiting first.
- **In the end all of it.** What was learnt in parts is played through on a day of its own.
- **The days of a week lie apart**, as far as their number lets them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil

from sitegen.planning.nouns import Day, Habits, Study, Task, TaskKind

LONGEST = 60
"""Days of a plan, a term of five days a week: what is more is for the teacher to plan when she gets there."""
RETURNS = 1 / 3
"""The part of a day that returns may take."""
SHORTEST_RETURN = 2
"""Minutes of a return: to sit down to it, and once more what did not go."""
SLOWLY = 3
"""How often as long as it sounds a return takes: once at half of the tempo, once at the tempo."""
PHRASE = 4
"""Bars of a phrase, where nobody knows better."""

_IN_A_WEEK = {
    1: (0,), 2: (0, 3), 3: (0, 2, 4), 4: (0, 1, 3, 4), 5: (0, 1, 2, 3, 4), 6: (0, 1, 2, 3, 4, 5),
    7: (0, 1, 2, 3, 4, 5, 6),
}  # fmt: skip

Stretch = tuple[int, int]
_New = tuple[Study, Stretch, TaskKind]


def plan_days(studies: Sequence[Study], habits: Habits) -> tuple[Day, ...]:
    """The days that learning ``studies`` in this order takes, ``LONGEST`` at most."""
    news: list[list[_New]] = []
    for study in studies:
        news += [[(study, *part)] for part in _parts(study, _days_of(study, habits))]
    if studies and _days_of(studies[-1], habits) > 1:
        last = studies[-1]
        news.append([(last, (last.first, last.last), "through")])
    return _with_returns(news[:LONGEST], habits)


def days_needed(studies: Sequence[Study], habits: Habits) -> int:
    """How many days learning ``studies`` takes, be they more than ``LONGEST``."""
    each = [_days_of(study, habits) for study in studies]
    return sum(each) + (bool(each) and each[-1] > 1)


def over_days(studies: Sequence[Study], habits: Habits, count: int) -> tuple[Day, ...]:
    """``studies`` laid over just ``count`` days, each with a share by how long it takes: what a teacher sets for a week
    fills the week, be it much or little."""
    whole = sum(study.minutes for study in studies) or 1.0
    news: list[list[_New]] = [[] for _ in range(count)]
    before = 0.0
    for study in studies:
        begins = min(count - 1, round(count * before / whole))
        before += study.minutes
        ends = max(begins + 1, round(count * before / whole))
        for day, part in enumerate(_parts(study, ends - begins), begins):
            news[day].append((study, *part))
    return _with_returns(news, habits)


def day_offset(habits: Habits, number: int) -> int:
    """How many days of the calendar after the first the ``number``-th day of practice is; the first is 1."""
    week = _IN_A_WEEK[habits.days]
    weeks, place = divmod(number - 1, len(week))
    return 7 * weeks + week[place]


def _days_of(study: Study, habits: Habits) -> int:
    return max(1, ceil(study.minutes / (habits.minutes * (1 - RETURNS))))


def _parts(study: Study, days: int) -> Iterator[tuple[Stretch, TaskKind]]:
    """What of a study each of so many days has; where there are fewer phrases than days, some go on."""
    parts = _divided(study, days)
    places = [day * len(parts) // days for day in range(days)]
    for day, place in enumerate(places):
        yield parts[place], "on" if day and places[day - 1] == place else "new"


def _divided(study: Study, count: int) -> list[Stretch]:
    """At most ``count`` stretches of whole phrases, as equal as phrases let them be."""
    joints = study.joints or tuple(range(study.first + PHRASE, study.last - PHRASE + 2, PHRASE))
    wanted = [study.first + part * (study.last + 1 - study.first) / count for part in range(1, count)]
    edges = {min(joints, key=lambda joint, place=place: (abs(joint - place), joint)) for place in wanted if joints}  # type: ignore[misc]
    return [(first, after - 1) for first, after in pairwise([study.first, *sorted(edges), study.last + 1])]


@dataclass(slots=True)
class _Waiting:
    """A stretch that comes back: when next, and after how many days from ``offset`` then."""

    study: Study
    stretch: Stretch
    offset: int
    gaps: list[int] = field(default_factory=list)

    @property
    def due(self) -> int:
        return self.offset + self.gaps[0]

    @property
    def minutes(self) -> int:
        share = (self.stretch[1] - self.stretch[0] + 1) / (self.study.last - self.study.first + 1)
        return max(SHORTEST_RETURN, ceil(SLOWLY * share * self.study.seconds / 60))


def _with_returns(news: Sequence[Sequence[_New]], habits: Habits) -> tuple[Day, ...]:
    """The days with what is new on them, and with what comes back."""
    days, waiting = [], list[_Waiting]()
    for number, new in enumerate(news, 1):
        offset = day_offset(habits, number)
        through = any(kind == "through" for *_, kind in new)
        told = [] if through else _due(waiting, new, offset, habits)
        tasks = [_task(one.study, one.stretch, one.minutes, "again") for one in told]
        left = max(habits.minutes - sum(task.minutes for task in tasks), len(new))
        for place, (study, stretch, kind) in enumerate(new):
            tasks.append(_task(study, stretch, left * (place + 1) // len(new) - left * place // len(new), kind))
            if kind != "through":
                waiting = [one for one in waiting if (one.study, one.stretch) != (study, stretch)]
                waiting.append(_Waiting(study, stretch, offset, sorted(habits.returns)))
        waiting = [one for one in waiting if one.gaps]
        days.append(Day(number, offset, tuple(tasks)))
    return tuple(days)


def _due(waiting: Sequence[_Waiting], new: Sequence[_New], offset: int, habits: Habits) -> list[_Waiting]:
    """What comes back on this day, the longest waiting first; one at least, where one is due. What is gone on with has
    no return, nor has one that was missed a second one for it."""
    going_on = {(study, stretch) for study, stretch, _ in new}
    due = [one for one in waiting if one.gaps and one.due <= offset and (one.study, one.stretch) not in going_on]
    told: list[_Waiting] = []
    for one in sorted(due, key=lambda one: one.due):
        if told and sum(each.minutes for each in told) + one.minutes > habits.minutes * RETURNS:
            continue
        told.append(one)
        while one.gaps and one.due <= offset:
            one.gaps.pop(0)
    return told


def _task(study: Study, stretch: Stretch, minutes: int, kind: TaskKind) -> Task:
    return Task(study.name, *stretch, minutes, kind, stretch == (study.first, study.last))
