"""What engraving makes of one stage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Notation = Literal["musicxml", "mei", "humdrum"]


@dataclass(frozen=True, slots=True)
class System:
    """One drawn system on its sheet: ``y`` is where it begins from the sheet's top, and with ``height`` in units.

    ``first_bar`` and ``last_bar`` are indexes of bars, both included.
    """

    first_bar: int
    last_bar: int
    y: float
    height: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """Systems of one width, one under the other: ``svg`` is a whole file, ``width`` and ``height`` its size in units.
    Its view box is in tenths of them."""

    svg: str
    width: float
    height: float
    systems: tuple[System, ...]


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """When a drawn note sounds, in seconds at the piece's own tempo; ``bar`` is the index of the bar it begins in."""

    id: str
    on: float
    off: float
    midi: int
    bar: int


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """A bar as it is reached in playing, repeats unfolded."""

    bar: int
    on: float
    off: float
    beats_a_minute: float


@dataclass(frozen=True, slots=True)
class Timing:
    """A performance: notes and bars in the order in which they are played. Repeats bring a note more than once."""

    notes: tuple[PlayedNote, ...]
    bars: tuple[PlayedBar, ...]
    length: float


@dataclass(frozen=True, slots=True)
class Performance:
    """How one text is played: the timing and the MIDI file, which begin at ``quarters_a_minute``. ``keeps_time`` says
    whether every bar has its length; it has not where a tuplet has no sign, as in many a cadenza."""

    timing: Timing
    midi: bytes
    quarters_a_minute: float
    keeps_time: bool = True


@dataclass(frozen=True, slots=True)
class Engraving:
    """One stage drawn and timed: sheets in order by layout name, the MIDI file, and the timing."""

    sheets: dict[str, tuple[Sheet, ...]]
    midi: bytes
    timing: Timing
