"""All that is understood of a score."""

from __future__ import annotations

from sitegen.analysis import Analysis, Readings, analyse
from sitegen.score.nouns import Score


def analyse_score(score: Score, readings: Readings) -> Analysis:
    """The analysis with what the teacher says taken as given."""
    return analyse(score, readings)
