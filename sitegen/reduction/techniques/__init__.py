"""The techniques, a module for each family, and the table in which they are entered (``registry``)."""

from sitegen.reduction.techniques.hands_alone import HANDS_ALONE, alone
from sitegen.reduction.techniques.registry import Technique, find_technique, techniques
from sitegen.reduction.techniques.rung_order import ladders
from sitegen.reduction.techniques.rungs import Rung, ladder_of, slug_of

__all__ = [
    "HANDS_ALONE",
    "Rung",
    "Technique",
    "alone",
    "find_technique",
    "ladder_of",
    "ladders",
    "slug_of",
    "techniques",
]
