"""The file ``analysis.json`` of a piece."""

from __future__ import annotations

from sitegen.analysis import Analysis
from sitegen.building.contract import analysis_object
from sitegen.building.steps.stages import whole
from sitegen.publishing.datafiles import as_json
from sitegen.reduction import Stage, StageNote
from sitegen.score.nouns import Score


def write_analysis(
    score: Score, analysis: Analysis, stages: tuple[Stage, ...], notes: tuple[tuple[StageNote, ...], ...]
) -> bytes:
    """The object of the contract as compact JSON."""
    return as_json(analysis_object(score, analysis, whole(stages, notes)))
