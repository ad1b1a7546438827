"""The studio's own pieces, with what their teacher says of them in force: the score, what is understood, the ladder."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from sitegen.analysis.analysing import analyse
from sitegen.analysis.nouns import Analysis
from sitegen.library import load_library
from sitegen.reduction import Stage, Wish, build_ladder, parse_wishes, readings_of
from sitegen.score import Score, read_score

CONTENT = Path(__file__).resolve().parents[2] / "content"
ORIGINALS = (
    "invention-in-a-minor", "march-in-d", "nocturne-in-a-flat",
    "prelude-in-d-minor", "sonatina-in-g", "waltz-in-e-minor",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Made:
    """A piece as it is published; ``stages`` are by their lasting names."""

    score: Score
    analysis: Analysis
    stages: dict[str, Stage]


@cache
def made(slug: str) -> Made:
    """The piece of the demo that is called ``slug``."""
    piece = next(piece for piece in load_library(CONTENT).pieces if piece.slug == slug)
    wishes = parse_wishes([Wish(one.value, one.line) for one in piece.adjustments], str(piece.file), [])
    score = read_score(piece.score)
    analysis = analyse(score, readings_of(score, wishes))
    return Made(score, analysis, {stage.slug: stage for stage in build_ladder(score, analysis, wishes)})
