"""What is understood of a score: immutable results, each with the reason that a teacher can read."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Literal

from sitegen.analysis.reasons import Reason, in_english
from sitegen.score import Note

Function = str  # one of those that the table of definitions has (``functions``)
LineName = Literal["melody", "bass", "inner"]
Together = Literal["over", "under", "alike", "one line", "right alone", "left alone", "counterpoint"]


@dataclass(frozen=True, slots=True)
class Harmony:
    """One chord from ``onset`` for ``duration`` ticks.

    ``pitch_classes``, ``bass`` and ``root`` count C as 0. Where no harmony is found ``pitch_classes`` is empty and
    the rest None. ``key`` is such as ``F# minor``, ``numeral`` such as ``V65/V``, ``symbol`` such as ``D7/F#``.
    ``degree`` is how the chord was heard in its key, without figures, such as ``V/V``, ``Ger`` or ``Cad``. ``reasons``
    say why it is this chord.
    """

    onset: int
    duration: int
    pitch_classes: frozenset[int] = frozenset()
    bass: int | None = None
    root: int | None = None
    key: str | None = None
    numeral: str | None = None
    symbol: str | None = None
    reasons: tuple[Reason, ...] = ()
    degree: str = ""

    @property
    def end(self) -> int:
        return self.onset + self.duration

    @property
    def why(self) -> str:
        """The reasons in English."""
        return in_english(self.reasons)


@dataclass(frozen=True, slots=True)
class NoteReading:
    """What one note is: its function, where it resolves, the line it belongs to, and how structural it is.

    ``depth`` is larger for notes kept in sparser reductions. ``reasons`` explain the function in a teacher's words.
    ``function`` is what the note is when it begins; ``held_as`` what a chord tone becomes that is held into a chord
    without it (a tied suspension), and ``resolves_to`` is then where that goes.
    """

    function: Function
    resolves_to: str | None = None
    line: LineName | None = None
    depth: float = 0.0
    held_as: Function | None = None
    reasons: tuple[Reason, ...] = ()

    @property
    def why(self) -> str:
        """The reasons in English."""
        return in_english(self.reasons)


@dataclass(frozen=True, slots=True)
class Texture:
    """What one staff does over a stretch: ``kind`` is a row name of the texture table, such as ``Alberti bass``."""

    staff: int
    onset: int
    duration: int
    kind: str

    @property
    def end(self) -> int:
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class Phrase:
    """A stretch between phrase ends, in ticks; ``cadence`` names how it ends, or is empty."""

    onset: int
    duration: int
    cadence: str = ""

    @property
    def end(self) -> int:
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class Form:
    """A stretch of one phrase or two, in ticks, that is a ``period``, a ``sentence``, or a ``return`` of the theme."""

    kind: Literal["period", "sentence", "return"]
    onset: int
    end: int


@dataclass(frozen=True, slots=True)
class Tension:
    """The tension of one harmony from 0 to 1, and the named parts that it is summed from."""

    onset: int
    value: float
    parts: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Entry:
    """The subject in one voice: ``notes`` are the ids of its notes there, ``onset`` and ``end`` ticks; ``voice`` counts
    from 0, the highest.

    ``steps`` says how far above its first statement it lies, in steps of the staff within an octave: 0 at its pitch,
    4 a fifth above (or a fourth below). ``form`` is ``real`` where all its steps are those of the first statement,
    ``tonal`` where some are a step nearer or wider (a fourth answers a fifth).
    """

    onset: int
    end: int
    voice: int
    notes: tuple[str, ...]
    steps: int
    form: Literal["real", "tonal"]

    @property
    def is_answer(self) -> bool:
        """Whether it lies a fifth above its first statement, or a fourth below."""
        return self.steps == 4


@dataclass(frozen=True, slots=True)
class Counterpoint:
    """Independent voices that share one subject, in a whole piece or a passage: the ids of each voice's notes, from the
    highest voice to the lowest, each in order of onset; and the entries of the subject, its first statement first, none
    where the voices begin together and share a motive."""

    voices: tuple[tuple[str, ...], ...]
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Passage:
    """Whole bars, a phrase or more, in which both hands go on in one way.

    ``right`` and ``left`` are textures of the hands (empty for a hand that is not there). ``together`` tells how they
    stand to each other: the right ``over`` the left, which accompanies; the left sings ``under`` the right; both do
    ``alike``; both play ``one line``; one is ``alone``; or all are voices of ``counterpoint``, which is then given.
    """

    onset: int
    duration: int
    together: Together
    right: str = ""
    left: str = ""
    counterpoint: Counterpoint | None = None

    @property
    def end(self) -> int:
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class Analysis:
    """All that is understood of a score.

    ``harmonies`` cover the piece in order without gap or overlap, ``tension`` has one entry for each of them, and
    ``notes`` one reading for every id of ``Score.notes``. ``lines`` are chains of note ids in order of onset.
    ``counterpoint`` is None for a piece that is none, be there ``passages`` of it or not; these cover the piece.
    """

    harmonies: tuple[Harmony, ...]
    notes: dict[str, NoteReading]
    textures: tuple[Texture, ...] = ()
    tension: tuple[Tension, ...] = ()
    phrases: tuple[Phrase, ...] = ()
    lines: tuple[tuple[LineName, tuple[str, ...]], ...] = ()
    counterpoint: Counterpoint | None = None
    passages: tuple[Passage, ...] = ()
    forms: tuple[Form, ...] = ()

    def reading(self, note: Note) -> NoteReading:
        """What was understood of ``note``. Raises ``KeyError`` for a note of another score."""
        return self.notes[note.id]

    def harmony_at(self, tick: int) -> Harmony:
        """The harmony that sounds at ``tick``; the last for the end of the piece."""
        return self.harmonies[harmony_index(self.harmonies, tick)]


_ONSET = attrgetter("onset")


def harmony_index(harmonies: Sequence[Harmony], tick: int) -> int:
    """The index of the harmony that sounds at ``tick``; the last for the end of the piece, 0 where there are none."""
    return max(0, bisect_right(harmonies, tick, key=_ONSET) - 1)


def harmonies_between(harmonies: Sequence[Harmony], start: int, end: int) -> Sequence[Harmony]:
    """The harmonies that sound from one tick up to another."""
    return harmonies[harmony_index(harmonies, start) : bisect_left(harmonies, end, key=_ONSET)]
