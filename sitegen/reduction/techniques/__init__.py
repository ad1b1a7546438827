"""The techniques, a module for each family, and the table in which they are entered (``registry``)."""

from sitegen.reduction.techniques.hands_alone import HANDS_ALONE, alone
from sitegen.reduction.techniques.registry import Technique, find_technique, techniques

__all__ = [
    "HANDS_ALONE",
    "Technique",
    "alone",
    "find_technique",
    "techniques",
]
