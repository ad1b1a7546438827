"""All that is understood of a score."""

from __future__ import annotations

from sitegen.analysis.analysing import analyse
from sitegen.analysis.nouns import Analysis
from sitegen.analysis.readings import Readings
from sitegen.score.nouns import Score


def analyse_score(score: Score, readings: Readings) -> Analysis:
    """The analysis with what the teacher says taken as given."""
    return analyse(score, readings)
