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
from sitegen.analysis.readings import (
    TEACHERS_READING,
    ChordReading,
    KeyReading,
    PhraseReading,
    Readings,
)

__all__ = [
    "TEACHERS_READING",
    "Analysis",
    "ChordReading",
    "Counterpoint",
    "Entry",
    "Function",
    "Harmony",
    "KeyReading",
    "LineName",
    "NoteReading",
    "Passage",
    "Phrase",
    "PhraseReading",
    "Readings",
    "Reason",
    "Tension",
    "Texture",
    "analyse",
    "describe",
    "describe_bars",
]
