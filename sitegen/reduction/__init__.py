"""From a score and its analysis to the ladder of stages, with the teacher's last word."""

from typing import TYPE_CHECKING

from sitegen.passing_on import passing_on
from sitegen.reduction.nouns import Difficulty, HandReport, Sentence, Stage, StageNote, WideStretch
from sitegen.reduction.wishes import Wish, Wishes

if TYPE_CHECKING:
    from sitegen.reduction.adjustments import parse_what_can_be, parse_wishes, readings_of, unmatched
    from sitegen.reduction.describing import describe_ladder
    from sitegen.reduction.effects import without_effect
    from sitegen.reduction.ladder import not_rising
    from sitegen.reduction.reducing import build_ladder
    from sitegen.reduction.techniques import Technique
else:
    __getattr__ = passing_on(
        __name__,
        {
            "Technique": "techniques",
            "build_ladder": "reducing",
            "describe_ladder": "describing",
            "not_rising": "ladder",
            "parse_what_can_be": "adjustments",
            "parse_wishes": "adjustments",
            "readings_of": "adjustments",
            "unmatched": "adjustments",
            "without_effect": "effects",
        },
    )

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
    "unmatched",
    "without_effect",
]
