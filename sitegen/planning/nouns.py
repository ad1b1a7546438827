"""The nouns of a plan: what is to be learnt, how somebody practises, and what that makes of each day.

Bars are indices, both ends included. A day's ``offset`` counts the days of the calendar since the first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

TaskKind = Literal["new", "on", "again", "through"]
"""A task: new on this day, gone on with from the day before, a return, or all that was learnt in parts put together."""


@dataclass(frozen=True, slots=True)
class Habits:
    """How somebody practises: so many ``days`` a week (1 to 7), so many ``minutes`` a day; what was new comes back that
    many days after it was (``returns``).

    The gaps grow, since what is to last longer wants longer gaps between its returns (Cepeda, Vul, Rohrer, Wixted and
    Pashler, "Spacing effects in learning", Psychological Science 19, 2008); the first is a day, since a movement
    settles in the night after it was practised (Allen, "Memory stabilization and enhancement following music practice",
    Psychology of Music 41, 2013).
    """

    days: int = 5
    minutes: int = 20
    returns: tuple[int, ...] = (1, 3, 7)


@dataclass(frozen=True, slots=True)
class Study:
    """A stretch of a stage to be learnt. ``name`` says which, ``minutes`` how long it takes in all, ``seconds`` how
    long it sounds. ``joints`` are the bars where phrases begin: only there it is divided."""

    name: str
    first: int
    last: int
    minutes: float
    seconds: float
    joints: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Task:
    """Something to practise: these bars of a study, for so many minutes. ``whole`` where that is all of it."""

    study: str
    first: int
    last: int
    minutes: int
    kind: TaskKind
    whole: bool = True


@dataclass(frozen=True, slots=True)
class Day:
    """A day of practice; ``number`` counts from 1."""

    number: int
    offset: int
    tasks: tuple[Task, ...]
