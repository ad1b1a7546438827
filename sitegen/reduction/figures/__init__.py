"""Figures and their basses: struck at once, a chord a harmony, or thinned."""

from sitegen.reduction.figures.basses import find_basses, lowest_at
from sitegen.reduction.figures.block_notes import struck
from sitegen.reduction.figures.blocks import ROLLED, Block, find_blocks, whole_blocks
from sitegen.reduction.figures.harmony_chords import chords_of_harmonies

__all__ = [
    "ROLLED",
    "Block",
    "chords_of_harmonies",
    "find_basses",
    "find_blocks",
    "lowest_at",
    "struck",
    "whole_blocks",
]
