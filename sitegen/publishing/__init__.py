"""Pages, page data and the files that browsers keep: everything of the site that is not engraved."""

from sitegen.publishing.cards import CardStage, GalleryCard, card_from_bytes, card_of
from sitegen.publishing.commentary import bars_of, excerpt_links
from sitegen.publishing.heard import FormInfo, HarmonyInfo, PassageInfo, PhraseInfo, ScoreNote, TensionInfo
from sitegen.publishing.messages import Catalogue, languages_in, load_catalogue, words_in
from sitegen.publishing.nouns import (
    BarInfo,
    Drawing,
    Excerpt,
    HandInfo,
    PiecePage,
    PlanDay,
    PlanTask,
    PublishedCollection,
    PublishedLibrary,
    PublishedPage,
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
from sitegen.publishing.telling import Filling, FillingKind, tell
from sitegen.publishing.theme import Theme, find_theme, site_assets, theme_names

__all__ = [
    "CONTENT_SECURITY_POLICY",
    "AssignmentPage",
    "BarInfo",
    "CardStage",
    "Catalogue",
    "Drawing",
    "Excerpt",
    "Filling",
    "FillingKind",
    "FormInfo",
    "GalleryCard",
    "HandInfo",
    "HarmonyInfo",
    "PassageInfo",
    "PhraseInfo",
    "PiecePage",
    "PlanDay",
    "PlanTask",
    "PublishedCollection",
    "PublishedLibrary",
    "PublishedPage",
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
