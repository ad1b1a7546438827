"""How structural each note is within its line."""

from sitegen.analysis.depth.ranking import rank_depths

__all__ = [
    "rank_depths",
]
