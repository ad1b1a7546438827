"""What the pages need to know: plain data, already decided elsewhere, and no opinion on how it was made.

Bars are named by their 0-based index into ``PiecePage.bars``. Times inside a bar (``onset``, ``duration``) are
fractions of a quarter note, counted from the start of the bar. Files are named relative to the folder of the piece
(``pieces/<slug>/``), with ``/`` between folders. Widths and heights of drawings are CSS pixels.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Literal

from sitegen.publishing.heard import FormInfo, HarmonyInfo, PassageInfo, PhraseInfo, ScoreNote, TensionInfo

HandName = Literal["right", "left"]


@dataclass(frozen=True, slots=True)
class PublishedLibrary:
    """The studio. ``language`` is a BCP 47 tag; ``address`` the URL under which the site will stand, or empty.

    ``introduction`` is sanitised HTML, and so is ``reference``, the page for teachers in English (empty: there is
    none); ``licence_note`` is what holds for all its pieces, in words. The terms follow the language: ``en`` and
    ``en-GB`` count bars and crotchets, ``en-US`` measures and quarter notes; ``own`` are words that the studio says
    otherwise, by their keys.
    """

    title: str
    language: str = "en"
    teacher: str = ""
    introduction: str = ""
    theme: str = "studio"
    address: str = ""
    reference: str = ""
    own: Mapping[str, str] = field(default_factory=dict)
    licence_note: str = ""


@dataclass(frozen=True, slots=True)
class Drawing:
    """An engraved picture."""

    file: str
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class SystemDrawing:
    """One engraved system: bars ``first_bar`` to ``last_bar``, both included; ``y`` is where it begins on its sheet."""

    first_bar: int
    last_bar: int
    y: float
    height: float


@dataclass(frozen=True, slots=True)
class SheetDrawing:
    """A picture of several systems, one under the other, all of one width."""

    file: str
    width: float
    systems: tuple[SystemDrawing, ...]

    def view(self, system: SystemDrawing) -> str:
        """The address of one of its systems as a picture: the file, and its place on it, in the tenths of a pixel that
        drawings count in (SVG 2, "SVG fragment identifiers")."""
        box = ",".join(f"{10 * side:g}" for side in (0, system.y, self.width, system.height))
        return f"{self.file}#svgView(viewBox({box}))"


@dataclass(frozen=True, slots=True)
class BarInfo:
    """One bar: its printed number, its length and the length of a felt beat in quarters, and how many quarters of the
    metre lie before its first note (an upbeat, or the second half of a divided bar). The halves of a divided bar have
    one number; ``own`` is then what the file calls this half.
    """

    number: str
    length: Fraction
    beat: Fraction = Fraction(1)
    lead: Fraction = Fraction(0)
    metre: str = ""
    own: str = ""


@dataclass(frozen=True, slots=True)
class StageNoteInfo:
    """A drawn note of a stage and the ids of the score's notes that it stands for.

    ``noteheads`` are the ids under which the note is drawn when it is tied; empty means ``id`` alone.
    """

    id: str
    bar: int
    onset: Fraction
    duration: Fraction
    pitch: str
    midi: int
    hand: HandName
    sources: tuple[str, ...]
    noteheads: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HandInfo:
    """The widest stretch of a hand in semitones, and the places wider than it was made for, each in words."""

    hand: HandName
    widest: int
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StagePage:
    """One stage as published. ``sheets`` has one row of drawings for each layout engraved; ``also`` is what the stage
    is understood by in links, beside its slug and its title. ``techniques`` are sentences, ``made_by`` their names in
    English, ``for_the_teacher`` what was done in words for her. ``played`` is what the file ``timing`` holds of when
    each note sounds, as plain data."""

    slug: str
    title: str
    listen: str
    note_count: int
    sheets: dict[str, tuple[SheetDrawing, ...]]
    midi: str
    musicxml: str
    timing: str
    notes: tuple[StageNoteInfo, ...]
    played: Mapping[str, Any] = field(default_factory=dict)
    techniques: tuple[str, ...] = ()
    difficulty: float = 0.0
    difficulty_parts: tuple[tuple[str, float], ...] = ()
    hands: tuple[HandInfo, ...] = ()
    side_study: bool = False
    as_written: bool = False
    also: tuple[str, ...] = ()
    made_by: tuple[str, ...] = ()
    for_the_teacher: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PlanTask:
    """Something to practise: a text, and where wished the stage and the bars (indices) that it opens.

    ``bars`` are their printed numbers: none for the whole piece, one, or the first and the last.
    """

    text: str
    stage: str = ""
    bars: tuple[str, ...] = ()
    first_bar: int | None = None
    last_bar: int | None = None


@dataclass(frozen=True, slots=True)
class PlanDay:
    """A day of the plan; ``date`` is the day of the calendar (``2026-11-30``), empty where it is not known."""

    title: str
    tasks: tuple[PlanTask, ...]
    date: str = ""


@dataclass(frozen=True, slots=True)
class Timetable:
    """When the days of a plan are, for a calendar file: the first of them, at what ``time`` (``17:00``, empty for whole
    days) in which time ``zone`` (empty: wherever one is), for how many ``minutes``, and how many minutes before the
    ``alarm`` rings, if at all. ``stamp`` is the day on which the file is said to be written."""

    begins: str
    time: str = ""
    zone: str = ""
    minutes: int = 20
    alarm: int | None = None
    stamp: str = ""


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Bars of a stage engraved for the commentary, asked for there by ``link`` (``bars:5-8/bass-line``)."""

    link: str
    drawing: Drawing


@dataclass(frozen=True, slots=True)
class Rights:
    """Who made a piece beside its composer, and what its licence allows. Years of death are figures, ``living``,
    ``unknown`` or empty. ``score`` is the file of the score, empty where the licence is not known to allow that it is
    passed on; so it is with its stages where it is not known to allow ``adaptations``. ``address`` is where the text of
    the licence stands."""

    composer_died: str = ""
    editor: str = ""
    editor_died: str = ""
    encoder: str = ""
    address: str = ""
    score: str = ""
    adaptations: bool = False


@dataclass(frozen=True, slots=True)
class PiecePage:
    """All that the pages of one piece show. ``commentary`` is sanitised HTML in which ``bars:`` links are left as
    the teacher wrote them. ``stages`` are in the order of the ladder, the score as written last. ``staves`` gives the
    hand of each staff, from the top. ``attachments`` and ``siblings`` say where the commentary's links to files (below
    the folder of the piece) and to other pieces (their slugs) lead. ``textures`` are the names, in English, of what its
    hands do in its passages; ``added`` is the day on which it came into the library (``2026-09-01``), or empty.
    ``library`` is who is named for a piece of another library, ``work`` the name of a work of which there are other
    ladders too. ``place`` is its folder below the site's root where that is another than that of all pieces.
    """

    slug: str
    title: str
    composer: str
    licence: str
    stages: tuple[StagePage, ...]
    bars: tuple[BarInfo, ...]
    notes: tuple[ScoreNote, ...]
    staves: tuple[HandName, ...] = ("right", "left")
    harmonies: tuple[HarmonyInfo, ...] = ()
    tension: tuple[TensionInfo, ...] = ()
    passages: tuple[PassageInfo, ...] = ()
    phrases: tuple[PhraseInfo, ...] = ()
    forms: tuple[FormInfo, ...] = ()
    commentary: str = ""
    summary: str = ""
    key: str = ""
    tempo: str = ""
    incipit: Drawing | None = None
    excerpts: tuple[Excerpt, ...] = ()
    plan: tuple[PlanDay, ...] = ()
    timetable: Timetable | None = None
    tags: tuple[str, ...] = ()
    credit: str = ""
    attachments: Mapping[str, str] = field(default_factory=dict)
    siblings: Mapping[str, str] = field(default_factory=dict)
    place: str = ""
    level: str = ""
    period: str = ""
    added: str = ""
    textures: tuple[str, ...] = ()
    library: str = ""
    rights: Rights = Rights()
    work: str = ""


@dataclass(frozen=True, slots=True)
class PublishedPage:
    """A page of the studio's own words. ``text`` is sanitised HTML whose links lead to where they are meant from the
    page itself; ``headings`` are those of the second level, their names in addresses with their words as HTML.
    ``language`` is empty where it is the studio's."""

    slug: str
    title: str
    summary: str = ""
    text: str = ""
    language: str = ""
    headings: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class PublishedCollection:
    """Pieces that a teacher has put together: their slugs in her order. ``text`` is sanitised HTML."""

    slug: str
    title: str
    pieces: tuple[str, ...]
    summary: str = ""
    text: str = ""
