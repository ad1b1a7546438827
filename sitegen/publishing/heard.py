"""What pages know of the music as it was understood: chords, phrases, tension, and what each note is.

Places are as in ``nouns``: bars by index, times within a bar in quarter notes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class HarmonyInfo:
    """A harmony from its onset on. Empty texts where none was found; ``key`` is such as ``F# minor``. ``why`` says to
    the teacher why it is this chord, ``plainly`` to the pupil."""

    bar: int
    onset: Fraction
    numeral: str = ""
    symbol: str = ""
    key: str = ""
    why: str = ""
    plainly: str = ""


@dataclass(frozen=True, slots=True)
class PhraseInfo:
    """A phrase from ``first_bar`` to ``last_bar`` (indices, both included), and the cadence that it ends with, if
    any."""

    first_bar: int
    last_bar: int
    cadence: str = ""


@dataclass(frozen=True, slots=True)
class FormInfo:
    """Bars whose phrases make something together, as of ``PhraseInfo``, and what it is in words; ``certain`` if it may
    be told to everybody."""

    first_bar: int
    last_bar: int
    words: str
    certain: bool = True


@dataclass(frozen=True, slots=True)
class PassageInfo:
    """Bars of one texture, from ``first_bar`` to ``last_bar`` (indices, both included), and what it is in words."""

    first_bar: int
    last_bar: int
    words: str


@dataclass(frozen=True, slots=True)
class TensionInfo:
    """The tension of the harmony at ``onset``, 0 to 1, with the named parts it is summed from."""

    bar: int
    onset: Fraction
    value: float
    parts: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class ScoreNote:
    """A note of the score as the note card tells it. ``pitch`` is such as ``Bb3``; ``function`` a word of the
    contract; ``why`` the reason in a teacher's words.
    """

    id: str
    bar: int
    onset: Fraction
    duration: Fraction
    pitch: str
    function: str = ""
    why: str = ""
