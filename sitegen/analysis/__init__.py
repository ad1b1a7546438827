"""What is understood of a score: pure functions from ``Score`` to ``Analysis``."""

from typing import TYPE_CHECKING

from sitegen.analysis.functions_table import Function
from sitegen.analysis.nouns import (
    Analysis,
    Counterpoint,
    Entry,
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
from sitegen.passing_on import passing_on

if TYPE_CHECKING:
    from sitegen.analysis.analysing import analyse
    from sitegen.analysis.describing import describe, describe_bars
else:
    __getattr__ = passing_on(
        __name__,
        {
            "analyse": "analysing",
            "describe": "describing",
            "describe_bars": "describing",
        },
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
