"""The tune with fewer notes, its leaning notes, and how it fits the chords under it."""

from sitegen.reduction.melody.half_bars import by_half_bar, units_of
from sitegen.reduction.melody.over_chords import held_along, let_go_for, sing_over_chords, without_leaning
from sitegen.reduction.melody.tune import Slot, simple_tune, sing, sing_leaning

__all__ = [
    "Slot",
    "by_half_bar",
    "held_along",
    "let_go_for",
    "simple_tune",
    "sing",
    "sing_leaning",
    "sing_over_chords",
    "units_of",
    "without_leaning",
]
