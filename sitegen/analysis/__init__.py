"""What is understood of a score: pure functions from ``Score`` to ``Analysis``."""

from sitegen.analysis.analyse import analyse
from sitegen.analysis.nouns import Analysis, Function, Harmony, LineName, NoteReading, Phrase, Tension, Texture

__all__ = ["Analysis", "Function", "Harmony", "LineName", "NoteReading", "Phrase", "Tension", "Texture", "analyse"]
