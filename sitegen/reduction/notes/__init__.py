"""The notes of a stage: struck, held, let go, laid in hands, and how loud."""

from sitegen.reduction.notes.laying import laid_in_hands
from sitegen.reduction.notes.loudness import UNMARKED, velocities
from sitegen.reduction.notes.note_values import let_go, one_value, to_the_beat, whole_end
from sitegen.reduction.notes.striking import as_is, hold, in_order, stand_for
from sitegen.reduction.notes.sustaining import sustained
from sitegen.reduction.notes.tidying import tidy

__all__ = [
    "UNMARKED",
    "as_is",
    "hold",
    "in_order",
    "laid_in_hands",
    "let_go",
    "one_value",
    "stand_for",
    "sustained",
    "tidy",
    "to_the_beat",
    "velocities",
    "whole_end",
]
