"""The nouns of places: what words say, and what is found where they lead."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Hand = Literal["right", "left"]
Height = Literal["top", "bottom"]


@dataclass(frozen=True, slots=True)
class BarName:
    """What a bar is called. ``whole`` is the name of the bar that musicians count, which bars that a repeat sign
    divides have in common; ``own`` the number that the file has for this one; ``upbeat`` marks a first bar that
    is short."""

    whole: str
    own: str
    upbeat: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """A place as words say it, not yet looked for: bars by name, all else None where it is not said. ``beat`` is in
    felt beats from 0; ``octave`` in scientific notation; ``voice`` counts from 1 within its staff; ``count`` tells the
    n-th of notes that are otherwise alike."""

    text: str
    first: str
    last: str
    beat: Fraction | None = None
    hand: Hand | None = None
    staff: int | None = None
    height: Height | None = None
    step: str | None = None
    alter: int = 0
    octave: int | None = None
    voice: int | None = None
    grace: bool = False
    count: int | None = None

    @property
    def is_note(self) -> bool:
        """Whether it speaks of one note."""
        return self.height is not None or self.step is not None or self.grace

    @property
    def is_bars(self) -> bool:
        """Whether it names bars and nothing within them."""
        return not self.is_note and (self.beat, self.hand, self.staff, self.voice) == (None, None, None, None)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a place is in a score: from ``onset`` up to ``end`` ticks, on these staves."""

    onset: int
    end: int
    staves: tuple[int, ...]
