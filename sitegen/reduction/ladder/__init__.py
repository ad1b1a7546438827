"""Which stages a ladder has, in which order, what they are called and how difficult they are."""

from sitegen.reduction.ladder.choosing import Draft, choose
from sitegen.reduction.ladder.difficulty import difficulty, not_rising
from sitegen.reduction.ladder.naming import lasting_name, lasting_names, note_codes
from sitegen.reduction.ladder.nesting import take_over

__all__ = [
    "Draft",
    "choose",
    "difficulty",
    "lasting_name",
    "lasting_names",
    "not_rising",
    "note_codes",
    "take_over",
]
