"""What a remark says of a few bars, as the sentence in English."""

from __future__ import annotations

from dataclasses import replace

from sitegen.analysis.nouns import Analysis
from sitegen.reduction import Stage
from sitegen.reduction.material.indexed import gather
from sitegen.reduction.remarks.groups import Remark
from sitegen.reduction.remarks.listen_texts import text_of
from sitegen.reduction.remarks.shown import Shown, shown
from sitegen.reduction.techniques.registry import techniques
from sitegen.score import Score


def stage_of(score: Score, analysis: Analysis, technique: str) -> Stage:
    """What a technique of the table makes of a score."""
    notes = techniques()[technique].reduce(gather(score, analysis))
    named = tuple(replace(note, id=f"n{place}") for place, note in enumerate(notes))
    return Stage(technique, technique, (technique,), named)


def seen(score: Score, analysis: Analysis, technique: str = "as written", before: str | None = None) -> Shown:
    """What a technique shows of a score, after the stage that another makes of it."""
    earlier = stage_of(score, analysis, before) if before else None
    return shown(gather(score, analysis), stage_of(score, analysis, technique), earlier)


def said(
    remark: Remark, score: Score, analysis: Analysis, technique: str = "as written", before: str | None = None
) -> list[str]:
    """The sentences of a remark on what a technique shows."""
    return [text_of(sentence) for sentence in remark(seen(score, analysis, technique, before))]
