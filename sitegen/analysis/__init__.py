"""What is understood of a score: pure functions from ``Score`` to ``Analysis``."""

from typing import TYPE_CHECKING

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
    Tension,
    Texture,
    harmonies_between,
    harmony_index,
)
from sitegen.analysis.readings import (
    NONE_GIVEN,
    ChordReading,
    KeyReading,
    PhraseReading,
    Readings,
)
from sitegen.analysis.reasons import TEACHERS_READING, Reason
from sitegen.passing_on import passing_on

if TYPE_CHECKING:
    from sitegen.analysis.analysing import analyse
    from sitegen.analysis.describing import describe, describe_bars
    from sitegen.analysis.holding import hold
else:
    __getattr__ = passing_on(
        __name__,
        {
            "analyse": "analysing",
            "describe": "describing",
            "describe_bars": "describing",
            "hold": "holding",
        },
    )

__all__ = [
    "NONE_GIVEN",
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
    "harmonies_between",
    "harmony_index",
    "hold",
]
