"""Which signs of a score stay in a stage, and at which of its notes: what belongs to notes that stay, stays."""

from sitegen.notation.phrasing.nouns import NoteMark, Phrasing
from sitegen.notation.phrasing.table import RULES, carry_signs

__all__ = ["RULES", "NoteMark", "Phrasing", "carry_signs"]
