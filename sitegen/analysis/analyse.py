"""All that is understood of a score, step by step: harmonies first, then what follows from them."""

from __future__ import annotations

from sitegen.analysis.functions import name_functions
from sitegen.analysis.harmony import find_harmonies
from sitegen.analysis.naming import name_harmonies
from sitegen.analysis.nouns import Analysis
from sitegen.analysis.tension import measure_tension
from sitegen.score import Score


def analyse(score: Score) -> Analysis:
    """The analysis of ``score``: one reading for every note, harmonies from 0 to ``score.end`` without a gap."""
    harmonies = name_harmonies(score, find_harmonies(score))
    readings = name_functions(score, harmonies)
    tension = measure_tension(score, harmonies, readings)
    return Analysis(harmonies, readings, tension=tension)
