"""From a score and its analysis to the ladder of stages."""

from sitegen.reduction.ladder import build_ladder
from sitegen.reduction.nouns import Difficulty, HandReport, Stage, StageNote, WideStretch

__all__ = ["Difficulty", "HandReport", "Stage", "StageNote", "WideStretch", "build_ladder"]
