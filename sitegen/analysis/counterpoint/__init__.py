"""Whether a piece is counterpoint: its voices, its subject and the entries."""

from sitegen.analysis.counterpoint.finding import find_counterpoint
from sitegen.analysis.counterpoint.voices.together import count_voices, moments

__all__ = [
    "count_voices",
    "find_counterpoint",
    "moments",
]
