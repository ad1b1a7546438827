"""The content folder: what a teacher writes, and every fault in it with file and line."""

from sitegen.library.collections import Collected, Collection, CollectionMatter
from sitegen.library.commentary import to_html
from sitegen.library.loading import load_library, load_piece, load_studio
from sitegen.library.matter import PieceMatter, PractiseMatter, StudioMatter
from sitegen.library.nouns import AtPlace, Library, Lined, Piece
from sitegen.library.slugs import slug_of

__all__ = [
    "AtPlace",
    "Collected",
    "Collection",
    "CollectionMatter",
    "Library",
    "Lined",
    "Piece",
    "PieceMatter",
    "PractiseMatter",
    "StudioMatter",
    "load_library",
    "load_piece",
    "load_studio",
    "slug_of",
    "to_html",
]
