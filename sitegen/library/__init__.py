"""The content folder: what a teacher writes, and every fault in it with file and line."""

from sitegen.library.assigning import Assigned, Assignment, AssignmentMatter, SetMatter
from sitegen.library.collections import Collected, Collection, CollectionMatter
from sitegen.library.commentary import to_html
from sitegen.library.loading import load_library, load_piece, load_studio
from sitegen.library.matter import HabitsMatter, PieceMatter, PlanMatter, PractiseMatter, StudioMatter
from sitegen.library.nouns import AtPlace, Library, Lined, Piece
from sitegen.library.slugs import slug_meant, slug_of
from sitegen.library.wording import GivenWords, Worded, load_words

__all__ = [
    "Assigned",
    "Assignment",
    "AssignmentMatter",
    "AtPlace",
    "Collected",
    "Collection",
    "CollectionMatter",
    "GivenWords",
    "HabitsMatter",
    "Library",
    "Lined",
    "Piece",
    "PieceMatter",
    "PlanMatter",
    "PractiseMatter",
    "SetMatter",
    "StudioMatter",
    "Worded",
    "load_library",
    "load_piece",
    "load_studio",
    "load_words",
    "slug_meant",
    "slug_of",
    "to_html",
]
