"""What is understood of a score: pure functions from ``Score`` to ``Analysis``."""

from sitegen.analysis.addresses import address_of, addresses
from sitegen.analysis.analyse import analyse
from sitegen.analysis.describe import describe
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
    "address_of",
    "addresses",
    "analyse",
    "describe",
]
