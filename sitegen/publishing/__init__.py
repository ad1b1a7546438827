"""Pages, page data and the files that browsers keep: everything of the site that is not engraved."""

from sitegen.publishing.cards import CardStage, GalleryCard, card_from_bytes, card_of
from sitegen.publishing.commentary import bars_of, excerpt_links, music_links
from sitegen.publishing.heard import FormInfo, HarmonyInfo, PassageInfo, PhraseInfo, ScoreNote, TensionInfo
from sitegen.publishing.messages import Catalogue, languages_in, load_catalogue, words_in
from sitegen.publishing.nouns import (
    BarInfo,
    Collection,
    Drawing,
    Excerpt,
    HandInfo,
    Library,
    PiecePage,
    PlanDay,
    PlanTask,
    Rights,
    SheetDrawing,
    StageNoteInfo,
    StagePage,
    SystemDrawing,
    Timetable,
)
from sitegen.publishing.outdated import mark_outdated
from sitegen.publishing.outputs.listing import as_listed, entry_of
from sitegen.publishing.pages import (
    render_assignment,
    render_gallery,
    render_listing,
    render_lists,
    render_piece,
    render_search,
    render_week,
    render_works,
)
from sitegen.publishing.press import CONTENT_SECURITY_POLICY
from sitegen.publishing.set_work import AssignmentPage, SetDay, SetTask
from sitegen.publishing.telling import Kind, Place, tell
from sitegen.publishing.theme import Theme, find_theme, site_assets, theme_names

__all__ = [
    "CONTENT_SECURITY_POLICY",
    "AssignmentPage",
    "BarInfo",
    "CardStage",
    "Catalogue",
    "Collection",
    "Drawing",
    "Excerpt",
    "FormInfo",
    "GalleryCard",
    "HandInfo",
    "HarmonyInfo",
    "Kind",
    "Library",
    "PassageInfo",
    "PhraseInfo",
    "PiecePage",
    "Place",
    "PlanDay",
    "PlanTask",
    "Rights",
    "ScoreNote",
    "SetDay",
    "SetTask",
    "SheetDrawing",
    "StageNoteInfo",
    "StagePage",
    "SystemDrawing",
    "TensionInfo",
    "Theme",
    "Timetable",
    "as_listed",
    "bars_of",
    "card_from_bytes",
    "card_of",
    "entry_of",
    "excerpt_links",
    "find_theme",
    "languages_in",
    "load_catalogue",
    "mark_outdated",
    "music_links",
    "render_assignment",
    "render_gallery",
    "render_listing",
    "render_lists",
    "render_piece",
    "render_search",
    "render_week",
    "render_works",
    "site_assets",
    "tell",
    "theme_names",
    "words_in",
]
