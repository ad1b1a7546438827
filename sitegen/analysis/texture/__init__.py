"""What each hand does, and which passages that makes."""

from sitegen.analysis.texture.finding import find_textures
from sitegen.analysis.texture.passage_words import in_words, places_of
from sitegen.analysis.texture.passages import find_passages
from sitegen.analysis.texture.table import KINDS, OF_ANY_PIECE, TEXTURES, of_family

__all__ = [
    "KINDS",
    "OF_ANY_PIECE",
    "TEXTURES",
    "find_passages",
    "find_textures",
    "in_words",
    "of_family",
    "places_of",
]
