"""What the teacher says of a piece: the analysis takes it as given, and works out the rest around it.

Everything is said in ticks and ids of notes. A reading holds as it stands: where two of one kind speak of the same
place, the later one is taken.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sitegen.analysis.nouns import Function, LineName, Texture


@dataclass(frozen=True, slots=True)
class ChordReading:
    """The chord ``name``, a numeral or a symbol (``chord_spelling.spell``), from ``onset`` on.

    Without ``end`` it lasts as long as the harmony that is else heard there, or to the end of its bar where none is. A
    numeral counts in the key that she gives for the place, or else in the one that is heard there.
    """

    onset: int
    end: int | None
    name: str


@dataclass(frozen=True, slots=True)
class KeyReading:
    """The key, such as ``F# minor``, from ``onset`` up to ``end``."""

    onset: int
    end: int
    key: str


@dataclass(frozen=True, slots=True)
class PhraseReading:
    """A phrase that begins at ``onset``; with ``end`` it is one phrase up to there. ``cadence`` names how it ends
    (empty: with none), None leaves that open."""

    onset: int
    end: int | None = None
    cadence: str | None = None


@dataclass(frozen=True, slots=True)
class Readings:
    """All that a teacher says of one score. ``functions`` and ``lines`` are by note id; a line that is None keeps the
    note out of all lines."""

    chords: tuple[ChordReading, ...] = ()
    keys: tuple[KeyReading, ...] = ()
    phrases: tuple[PhraseReading, ...] = ()
    textures: tuple[Texture, ...] = ()
    functions: Mapping[str, Function] = field(default_factory=dict)
    lines: Mapping[str, LineName | None] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.chords or self.keys or self.phrases or self.textures or self.functions or self.lines)


NONE_GIVEN = Readings()
