"""The files of a site that are made from the data of its pages, one module each; here is the list of them.

A new kind of file is a module with its path, its schema and its writer, and its name in the list of what it is made
from: the whole site, a piece, or a stage.
"""

from __future__ import annotations

from sitegen.publishing.outputs.about import ABOUT
from sitegen.publishing.outputs.card import CARD
from sitegen.publishing.outputs.gallery import GALLERY
from sitegen.publishing.outputs.listing import LISTING, entry_of
from sitegen.publishing.outputs.nouns import OfListing, OfPiece, OfSite, OfStage, PublishedFile, written
from sitegen.publishing.outputs.piece_data import PIECE_DATA
from sitegen.publishing.outputs.print_page import PRINT_PAGE
from sitegen.publishing.outputs.score_notes import SCORE_NOTES
from sitegen.publishing.outputs.stage_pages import FIRST_PAGE, STAGE_PAGE
from sitegen.publishing.outputs.teachers import TEACHERS
from sitegen.publishing.outputs.timing import TIMING
from sitegen.publishing.outputs.tools import TOOLS
from sitegen.publishing.outputs.webmanifest import WEB_MANIFEST

OF_SITE: tuple[PublishedFile[OfSite], ...] = (GALLERY, ABOUT, TEACHERS, WEB_MANIFEST, TOOLS)
OF_PIECE: tuple[PublishedFile[OfPiece], ...] = (PIECE_DATA, SCORE_NOTES, FIRST_PAGE, PRINT_PAGE, CARD)
OF_STAGE: tuple[PublishedFile[OfStage], ...] = (STAGE_PAGE, TIMING)

__all__ = [
    "LISTING",
    "OF_PIECE",
    "OF_SITE",
    "OF_STAGE",
    "OfListing",
    "OfPiece",
    "OfSite",
    "OfStage",
    "PublishedFile",
    "entry_of",
    "written",
]
