"""The plan of a piece as its page shows it: as its teacher wrote it, or made from the ladder where she asks for one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from sitegen.analysis import Analysis
from sitegen.building.telling import Teller
from sitegen.errors import ContentError, FaultsError, located
from sitegen.library import Piece, PieceMatter, PractiseMatter, StudioMatter
from sitegen.library.days_and_times import LAST_YEAR
from sitegen.library.matter import HabitsMatter
from sitegen.places.bars import find_bars
from sitegen.places.naming import name_bars
from sitegen.places.nouns import BarName
from sitegen.places.parsing import parse_bars
from sitegen.places.stages import StageName, find_stage
from sitegen.planning.days import day_offset, plan_days
from sitegen.planning.ladder import studies_of
from sitegen.planning.nouns import Habits, Task
from sitegen.planning.wanted import habits_of
from sitegen.publishing.nouns import PlanDay, PlanTask, Timetable
from sitegen.reduction import Stage
from sitegen.score import Score
from sitegen.stamping import stamp_of_files

DAILY = 7


@dataclass(frozen=True, slots=True)
class PlanWanted:
    """How a plan is made, if ``is_made`` where none is written, and when its days are. A plan that is written has days
    one after the other, unless something is said of the days of a week."""

    habits: Habits
    is_made: bool = False
    timetable: Timetable | None = None


def plan_wanted(matter: PieceMatter, studio: StudioMatter) -> PlanWanted:
    """What a teacher asks of the plan of a piece, with what her studio says."""
    plan, habits = matter.plan, habits_of(matter.plan, studio.plan)
    if plan is None:
        return PlanWanted(habits)
    if matter.practise and plan.days is None and studio.plan.days is None:
        habits = replace(habits, days=DAILY)
    return PlanWanted(habits, True, timetable_of(plan, studio, habits, plan.begins))


def timetable_of(
    plan: HabitsMatter | None, studio: StudioMatter, habits: Habits, begins: date | None
) -> Timetable | None:
    """When the days of a plan are that ``begins`` then; None where nobody says."""
    if begins is None:
        return None
    said = [one for one in (plan, studio.plan) if one is not None]
    time = next((one.time for one in said if one.time is not None), "")
    alarm = next((one.alarm for one in said if one.alarm is not None), None)
    day = begins.isoformat()
    return Timetable(day, time, studio.time_zone or "", habits.minutes, alarm, stamp_of_files(day))


def days_of_plan(
    piece: Piece, score: Score, analysis: Analysis, stages: Sequence[Stage], teller: Teller, wanted: PlanWanted
) -> tuple[PlanDay, ...]:
    """The plan by days: the one that is written, else one that is made where it is ``wanted``.

    Raises ``ContentError`` or ``FaultsError`` as ``written_days`` does.
    """
    written = written_days(piece, score, stages, teller)
    if written or not wanted.is_made:
        return dated(written, wanted.habits, wanted.timetable)
    joints = sorted({score.bar_at(phrase.onset).index for phrase in analysis.phrases})
    names = name_bars(score.bars, score.ticks_per_quarter)
    titles = {stage.slug: teller.title(stage) for stage in stages}
    days = tuple(
        PlanDay(str(day.number), tuple(task_told(task, titles[task.study], task.study, names, teller)
                                       for task in day.tasks))
        for day in plan_days(studies_of(score, stages, joints), wanted.habits)
    )  # fmt: skip
    return dated(days, wanted.habits, wanted.timetable)


def task_told(task: Task, title: str, stage: str, names: Sequence[BarName], teller: Teller) -> PlanTask:
    """A task of a plan that is made: the ``title`` of its stage, what of it is new, and for how long."""
    minutes = teller.words("plan.minutes", count=task.minutes)
    text = teller.words(f"plan.{task.kind}", stage=title, minutes=minutes)
    if task.whole:
        return PlanTask(text, stage)
    bars = tuple(dict.fromkeys((names[task.first].whole, names[task.last].whole)))
    return PlanTask(text, stage, bars, task.first, task.last)


def dated(days: Sequence[PlanDay], habits: Habits, timetable: Timetable | None) -> tuple[PlanDay, ...]:
    """The days with the days of the calendar on which they are, where that is known."""
    if timetable is None:
        return tuple(days)
    first = date.fromisoformat(timetable.begins)
    most = (date(LAST_YEAR, 12, 31) - first).days
    offsets = [day_offset(habits, int(day.title)) for day in days]
    return tuple(
        replace(day, date=(first + timedelta(days=offset)).isoformat()) if offset <= most else day
        for day, offset in zip(days, offsets, strict=True)
    )


def written_days(piece: Piece, score: Score, stages: Sequence[Stage], teller: Teller) -> tuple[PlanDay, ...]:
    """The plan as it is written. A stage goes by its lasting name, its technique, or its title, in English too.

    Raises ``ContentError`` (file, line) for a stage or bars that are not there, ``FaultsError`` for several.
    """
    known = [teller.called(stage) for stage in stages]
    names = name_bars(score.bars, score.ticks_per_quarter)
    days: dict[int, list[PlanTask]] = {}
    faults: list[ContentError] = []
    for line, number in zip(piece.matter.practise, piece.practise_lines, strict=True):
        try:
            with located(piece.file, number):
                task = _task(line, known, names)
        except ContentError as fault:
            faults.append(fault)
            continue
        days.setdefault(line.day, []).append(task)
    if faults:
        raise faults[0] if len(faults) == 1 else FaultsError(faults)
    return tuple(PlanDay(str(day), tuple(tasks)) for day, tasks in sorted(days.items()))


def _task(line: PractiseMatter, known: Sequence[StageName], names: Sequence[BarName]) -> PlanTask:
    stage = known[find_stage(line.stage, known)]
    text = stage.titles[0] + (f", {line.note}" if line.note else "")
    if not line.bars:
        return PlanTask(text, stage.name)
    first, last = find_bars(names, parse_bars(line.bars))
    bars = tuple(dict.fromkeys((names[first].whole, names[last].whole)))
    return PlanTask(text, stage.name, bars, first, last)
