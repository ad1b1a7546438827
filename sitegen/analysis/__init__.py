"""What is understood of a score: pure functions from ``Score`` to ``Analysis``."""

from sitegen.analysis.analyse import analyse
from sitegen.analysis.describe import describe, describe_bars
from sitegen.analysis.nouns import (
    Analysis,
    Counterpoint,
    Entry,
    Function,
    Harmony,
    LineName,
    NoteReading,
    Passage,
    Phrase,
    Reason,
    Tension,
    Texture,
)

__all__ = [
    "Analysis",
    "Counterpoint",
    "Entry",
    "Function",
    "Harmony",
    "LineName",
    "NoteReading",
    "Passage",
    "Phrase",
    "Reason",
    "Tension",
    "Texture",
    "analyse",
    "describe",
    "describe_bars",
]
