"""How far a hand is asked to reach, and what is done where that is too far."""

from sitegen.reduction.hands.reach import HANDS, Keyboard, keyboard, report, staves_of
from sitegen.reduction.hands.remedies import under_the_hand

__all__ = [
    "HANDS",
    "Keyboard",
    "keyboard",
    "report",
    "staves_of",
    "under_the_hand",
]
