"""The voices of a contrapuntal piece: how many there are, and which notes each has."""

from sitegen.analysis.counterpoint.voices.following import follow_voices
from sitegen.analysis.counterpoint.voices.together import count_voices

__all__ = ["count_voices", "follow_voices"]
