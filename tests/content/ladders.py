"""The pieces of the demo as they are built, adjustments and the teacher's own stages in force: the score, what is
understood, the ladder."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from sitegen.analysis.analysing import analyse
from sitegen.analysis.nouns import Analysis
from sitegen.library import load_library
from sitegen.library.nouns import Piece
from sitegen.reduction import Stage, Wish, build_ladder, parse_wishes, readings_of
from sitegen.score import Score, read_score

CONTENT = Path(__file__).resolve().parents[2] / "content"
SLUGS = sorted(folder.parent.name for folder in CONTENT.glob("*/piece.md"))
ORIGINALS = (
    "invention-in-a-minor", "march-in-d", "nocturne-in-a-flat",
    "prelude-in-d-minor", "sonatina-in-g", "waltz-in-e-minor",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Ladder:
    """A piece, its score, what is understood of it, and its stages by their lasting names, in order."""

    piece: Piece
    score: Score
    analysis: Analysis
    stages: dict[str, Stage]


@cache
def ladder(slug: str) -> Ladder:
    """The piece in the folder of this name."""
    piece = next(piece for piece in load_library(CONTENT).pieces if piece.slug == slug)
    listed = [Wish(one.value, one.line) for one in piece.stages]
    files = [one.value["file"] for one in piece.stages if isinstance(one.value, dict) and "file" in one.value]
    own = {name: read_score(piece.score.parent / name) for name in files}
    adjusted = [Wish(one.value, one.line) for one in piece.adjustments]
    wishes = parse_wishes(adjusted, str(piece.file), listed, own)
    score = read_score(piece.score)
    analysis = analyse(score, readings_of(score, wishes))
    return Ladder(piece, score, analysis, {stage.slug: stage for stage in build_ladder(score, analysis, wishes)})
