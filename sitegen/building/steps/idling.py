"""Which of the teacher's wishes change nothing."""

from __future__ import annotations

from sitegen.building.steps.faults import Fault, faults_of
from sitegen.reduction import Wishes, without_effect
from sitegen.score.nouns import Score


def find_idle(score: Score, wishes: Wishes) -> tuple[Fault, ...]:
    """A word on every adjustment without which all would be the same."""
    return tuple(fault for error in without_effect(score, wishes) for fault in faults_of(error))
