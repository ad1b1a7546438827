"""Whether what is said of a plan is of any use, and whether the plan can be made as it is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from sitegen.checking.cases import Case
from sitegen.checking.nouns import Finding
from sitegen.planning.days import LONGEST, days_needed
from sitegen.planning.ladder import studies_of
from sitegen.planning.wanted import habits_of


def plans_that_are_not_made(case: Case) -> Iterator[Finding]:
    """A plan asked for beside one that is written, which is the one that holds."""
    matter = case.draft.piece.matter
    if matter.plan is not None and matter.practise and matter.plan.begins is None:
        what = "'plan' makes nothing: 'practise' holds a plan, and that one is published"
        remedy = "Leave one of them out; 'plan: {begins: 2026-11-30}' gives the written one a calendar file."
        yield case.draft.warning(what, remedy, line=case.draft.piece.lines.get("plan"))


def plans_without_end(case: Case) -> Iterator[Finding]:
    """A plan that would take longer than a term."""
    matter = case.draft.piece.matter
    if matter.plan is None or matter.practise:
        return
    days = days_needed(studies_of(case.score, case.stages), habits_of(matter.plan, case.draft.studio.plan))
    if days > LONGEST:
        what = f"the plan would take {days} days of practice; the first {LONGEST} are made"
        remedy = "Give more 'minutes', leave stages out, or plan a part of the piece under 'practise'."
        yield case.draft.warning(what, remedy, line=case.draft.piece.lines.get("plan"))


def plans_before_their_piece(case: Case) -> Iterator[Finding]:
    """A plan that begins more than a month before its piece was there: a slip of the year."""
    matter = case.draft.piece.matter
    begins = matter.plan.begins if matter.plan is not None else None
    if begins is not None and matter.added and (begins + timedelta(days=31)).isoformat() < matter.added:
        what = f"the plan begins on {begins}, and the piece came into the library on {matter.added}"
        yield case.draft.warning(what, "Look at the year of 'begins'.", line=case.draft.piece.lines.get("plan"))


def alarms_without_time(case: Case) -> Iterator[Finding]:
    """An alarm for days that have no time of day."""
    plan, studio = case.draft.piece.matter.plan, case.draft.studio.plan
    if plan is not None and plan.alarm is not None and plan.time is None and studio.time is None:
        what, remedy = "'alarm' rings for no time of day", "Write 'time' too, such as time: '17:00'."
        yield case.draft.warning(what, remedy, line=case.draft.piece.lines.get("plan"))
