"""The habits that a teacher asks for, with what the studio says where she says nothing."""

from __future__ import annotations

from sitegen.library.matter import HabitsMatter
from sitegen.planning.nouns import Habits


def habits_of(plan: HabitsMatter | None, studio: HabitsMatter) -> Habits:
    """How it is to be practised: as ``plan`` says, else as the ``studio`` does, else as ``Habits`` has it."""
    said = [one for one in (plan, studio) if one is not None]
    usual = Habits()
    days = next((one.days for one in said if one.days is not None), usual.days)
    minutes = next((one.minutes for one in said if one.minutes is not None), usual.minutes)
    returns = next((tuple(one.returns) for one in said if one.returns is not None), usual.returns)
    return Habits(days, minutes, returns)
