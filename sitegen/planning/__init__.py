"""Plans of practice: which stage on which day, with returns to what was new before."""

from sitegen.planning.days import LONGEST, day_offset, days_needed, over_days, plan_days
from sitegen.planning.ladder import studies_of, study_of
from sitegen.planning.nouns import Day, Habits, Study, Task, TaskKind
from sitegen.planning.wanted import habits_of

__all__ = [
    "LONGEST",
    "Day",
    "Habits",
    "Study",
    "Task",
    "TaskKind",
    "day_offset",
    "days_needed",
    "habits_of",
    "over_days",
    "plan_days",
    "studies_of",
    "study_of",
]
