"""The ladder of a piece, each stage a value of its own."""

from __future__ import annotations

from dataclasses import replace

from sitegen.analysis import Analysis
from sitegen.building.steps.nouns import Outputs
from sitegen.building.steps.stages import StageAtAGlance
from sitegen.reduction import Wishes, build_ladder
from sitegen.score.nouns import Score


def reduce_score(score: Score, analysis: Analysis, wishes: Wishes) -> Outputs:
    """``outline``: a ``StageAtAGlance`` for each. Of each stage ``<slug>/notes``, and ``<slug>/stage``, which is all
    else: another title or sentence writes and draws nothing. Raises what ``build_ladder`` raises."""
    stages = build_ladder(score, analysis, wishes)
    made = Outputs(outline=tuple(StageAtAGlance(s.slug, s.title, s.also, len(s.notes), s.as_written) for s in stages))
    for stage in stages:
        made[f"{stage.slug}/notes"] = stage.notes
        made[f"{stage.slug}/stage"] = replace(stage, notes=())
    return made
