"""What each hand does, and which passages that makes."""

from sitegen.analysis.texture.finding import KINDS, find_textures
from sitegen.analysis.texture.passage_words import in_words, places_of
from sitegen.analysis.texture.passages import find_passages
from sitegen.analysis.texture.table import MEANINGS

__all__ = [
    "KINDS",
    "MEANINGS",
    "find_passages",
    "find_textures",
    "in_words",
    "places_of",
]
