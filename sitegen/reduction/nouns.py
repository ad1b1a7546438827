"""The nouns of reduction: the notes of a stage, each accounted for, and the stage itself."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from sitegen.places.stages import StageName
from sitegen.score import Hand, Pitch


@dataclass(frozen=True, slots=True)
class StageNote:
    """One note of a stage. ``onset`` and ``duration`` are ticks of the score, counted from the start of the piece;
    ``sources`` are the ids of the score's notes that it stands for (never empty). ``grace`` notes have duration 0.
    The first of them is the note whose pitch it has; the others are those whose time it takes over.
    ``rolled`` marks a note of a chord that is to be rolled; ``moved`` a note put in another octave or hand.
    ``voice`` is the voice it would be written in, 0 for none in particular; ``ornaments`` and ``small`` as in ``Note``.
    ``hand`` is the hand that plays it in this stage, None for a staff that no hand plays.
    """

    id: str
    onset: int
    duration: int
    pitch: Pitch
    staff: int
    sources: tuple[str, ...]
    grace: bool = False
    rolled: bool = False
    moved: bool = False
    voice: int = 0
    ornaments: tuple[str, ...] = ()
    small: bool = False
    hand: Hand | None = None
    midi: int = field(init=False, repr=False, compare=False)
    end: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "midi", self.pitch.midi)
        object.__setattr__(self, "end", self.onset + self.duration)

    def played(self, id: str, hand: Hand | None) -> StageNote:
        """This note with the id that it has in its stage, and the hand that plays it."""
        return StageNote(
            id, self.onset, self.duration, self.pitch, self.staff, self.sources, self.grace, self.rolled, self.moved,
            self.voice, self.ornaments, self.small, hand,
        )  # fmt: skip

    def standing_for(self, more: Iterable[str]) -> StageNote:
        """This note, standing for the notes of the score with the ids ``more`` too."""
        sources = tuple(dict.fromkeys((*self.sources, *more)))
        return replace(self, sources=sources) if sources != self.sources else self


@dataclass(frozen=True, slots=True)
class WideStretch:
    """A place where a hand is asked for more than its span, in semitones, and what was done about it.

    ``remedy`` is one of ``as written``, ``shared``, ``rolled``, ``bass first`` or
    ``left out``.
    """

    onset: int
    semitones: int
    remedy: str


@dataclass(frozen=True, slots=True)
class HandReport:
    """The widest simultaneous stretch of a hand in semitones, and every place wider than the span it is made for."""

    hand: Hand
    widest: int
    places: tuple[WideStretch, ...] = ()


@dataclass(frozen=True, slots=True)
class Difficulty:
    """A figure with the named parts that it is summed from."""

    value: float
    parts: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Sentence:
    """What to listen for, as the id of a message and its fields by name, for catalogues of other languages."""

    message: str
    fields: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Stage:
    """One reduction of a score. ``as_written`` is the last stage, which holds exactly the notes of the score.

    ``slug`` is its lasting name, from its technique and its stretch of bars; ``title`` what it is shown as; ``also``
    what else it is understood by. ``listen`` is the sentence for the pupil in English, empty where there is nothing to
    say; ``sentence`` what it was made from: None where it is empty, or the teacher's own.
    """

    slug: str
    title: str
    techniques: tuple[str, ...]
    notes: tuple[StageNote, ...]
    listen: str = ""
    side_study: bool = False
    as_written: bool = False
    difficulty: Difficulty = Difficulty(0.0)
    hands: tuple[HandReport, ...] = ()
    sentence: Sentence | None = None
    also: tuple[str, ...] = ()

    @property
    def called(self) -> StageName:
        """What a teacher may call this stage."""
        return StageName(self.slug, (self.title,), self.also)
