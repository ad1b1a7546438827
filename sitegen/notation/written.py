"""The nouns of what is written: chords, notes and rests of a voice, and what stands between them in the file.

Ticks as in ``Score``, counted from the start of the piece. These nouns are filled in step by step (tuplets, beams,
accidentals, signs) before they become text, so they are not frozen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from sitegen.notation.values import Value
from sitegen.score import Clef, Pitch


@dataclass(frozen=True, slots=True)
class SlurEnd:
    """Where a slur begins or ends; ``number`` tells it from others that are open at the same time."""

    number: int
    way: Literal["start", "stop"]
    placement: str = ""


@dataclass(slots=True)
class WrittenHead:
    """A notehead. ``accidental`` says that one is drawn before it, ``order`` is its place among all heads of the
    file."""

    id: str
    pitch: Pitch
    tied_from: bool
    tied_to: bool
    small: bool
    accidental: bool = False
    order: int = 0
    slurs: tuple[SlurEnd, ...] = ()
    fingerings: tuple[str, ...] = ()


@dataclass(slots=True)
class Written:
    """A note or a chord, from low to high, or a rest, which has no heads; a grace has length 0.

    ``onset`` is the tick at which it is written. ``hidden`` is not printed; ``slash`` is the stroke through a grace's
    stem. ``beams`` has a word of MusicXML for each level. ``figured`` and ``bracket`` say whether the tuplet that
    ``opens`` here shows its figure and a bracket. ``staff`` and ``voice`` are those of the file, 0 if it says none.
    """

    onset: int
    length: int
    value: Value
    heads: list[WrittenHead]
    grace: bool = False
    slash: bool = False
    hidden: bool = False
    whole_bar: bool = False
    rolled: bool = False
    ornaments: tuple[str, ...] = ()
    beams: tuple[str, ...] = ()
    opens: bool = False
    closes: bool = False
    figured: bool = False
    bracket: bool = False
    articulations: tuple[str, ...] = ()
    fermata: bool = False
    staff: int = 0
    voice: int = 0

    @property
    def end(self) -> int:
        return self.onset + self.length

    @property
    def rest(self) -> bool:
        return not self.heads


@dataclass(frozen=True, slots=True)
class Direction:
    """A sign of a staff: ``types`` is the XML of what is printed, empty for what only sounds. ``shift`` is how many
    ticks after the place in the file it holds, ``ends`` that a stretch ends with it, ``tempo`` what sounds from there,
    in quarters a minute, 0 for nothing new."""

    types: str
    staff: int
    placement: str = ""
    tempo: float = 0.0
    ends: bool = False
    shift: int = 0

    def shifted(self, ticks: int) -> Direction:
        """The sign written so many ticks before it holds."""
        return replace(self, shift=ticks) if ticks else self


@dataclass(frozen=True, slots=True)
class ClefChange:
    """A clef within a bar; ``staff`` is 0 where the file need not say it."""

    clef: Clef
    staff: int


@dataclass(frozen=True, slots=True)
class Leap:
    """Ticks forward, or back, to where the next item stands; ``staff`` as in ``Written``."""

    ticks: int
    staff: int = 0


@dataclass(frozen=True, slots=True)
class Plain:
    """What takes no time and is at its place as it stands: signatures, bar lines."""

    xml: str


Item = Written | Direction | ClefChange | Leap | Plain


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """One bar of one staff: its voices, the upper first, each in order, and the clefs that begin in it, by tick."""

    voices: Sequence[Sequence[Written]]
    clefs: Sequence[tuple[int, Clef]] = ()
