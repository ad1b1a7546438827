"""What each note is to the chord that sounds when it begins: chord tone, passing note, suspension."""

from sitegen.analysis.functions.finding import name_functions
from sitegen.analysis.functions.neighbours import move
from sitegen.analysis.functions.table import (
    ACCENTS,
    APPROACHED,
    DEFINITIONS,
    FREE,
    FUNCTIONS,
    HELD_OVER,
    STEP,
    UNPREPARED,
)

__all__ = [
    "ACCENTS",
    "APPROACHED",
    "DEFINITIONS",
    "FREE",
    "FUNCTIONS",
    "HELD_OVER",
    "STEP",
    "UNPREPARED",
    "move",
    "name_functions",
]
