"""ABC, read by our own reader and turned into MusicXML: the importers at hand lose voices, chords and endings."""

from sitegen.score.abc.reading import read_abc
from sitegen.score.abc.writing import further_heads, musicxml_of

__all__ = ["further_heads", "musicxml_of", "read_abc"]
