"""Work done apart, in a child of this program: what ends the child, or would take too long or too much memory, costs
that work alone."""

from sitegen.apart.calling import BROKEN_DOWN, Child, Failure, Reply, call_apart
from sitegen.apart.limits import LEAST_MEMORY, USUAL, Limits, limits_here
from sitegen.apart.serving import words_for

__all__ = [
    "BROKEN_DOWN",
    "LEAST_MEMORY",
    "USUAL",
    "Child",
    "Failure",
    "Limits",
    "Reply",
    "call_apart",
    "limits_here",
    "words_for",
]
