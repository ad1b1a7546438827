"""From a score and its analysis to the ladder of stages, with the teacher's last word."""

from sitegen.reduction.adjustments import parse_what_can_be, parse_wishes, readings_of, unmatched
from sitegen.reduction.describing import describe_ladder
from sitegen.reduction.difficulty import not_rising
from sitegen.reduction.effects import without_effect
from sitegen.reduction.ladder import build_ladder
from sitegen.reduction.nouns import Difficulty, HandReport, Sentence, Stage, StageNote, WideStretch
from sitegen.reduction.registry import Technique, techniques
from sitegen.reduction.wishes import Wish, Wishes

__all__ = [
    "Difficulty",
    "HandReport",
    "Sentence",
    "Stage",
    "StageNote",
    "Technique",
    "WideStretch",
    "Wish",
    "Wishes",
    "build_ladder",
    "describe_ladder",
    "not_rising",
    "parse_what_can_be",
    "parse_wishes",
    "readings_of",
    "techniques",
    "unmatched",
    "without_effect",
]
