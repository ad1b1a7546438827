"""The nouns of phrasing: what stands beside the notes and tells how they are played.

What belongs to one note (articulation, fingering, a fermata, ornaments) is said by the ``Note``; what belongs to a
place or a stretch is a ``Sign``; what joins two notes is a ``Slur``. Ticks as in ``Score``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

SignKind = Literal["dynamic", "words", "hairpin", "pedal", "octave", "fermata"]
Placement = Literal["", "above", "below"]


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign of a staff, from ``onset`` to ``end`` (the same for one that only stands somewhere).

    ``text`` is what it says: a dynamic's letters (``sf``), the words, ``crescendo`` or ``diminuendo`` for a hairpin,
    ``line`` for a pedal drawn as a line; for an octave sign how many octaves higher it sounds than it stands (``1``,
    ``-1``, ``2``). A pedal whose release is not printed ends where it begins. A ``fermata`` here is one over a rest.
    """

    kind: SignKind
    staff: int
    onset: int
    end: int
    text: str = ""
    placement: Placement = ""


@dataclass(frozen=True, slots=True)
class Slur:
    """A slur from the note with the id ``first`` to that with ``last``; ``onset`` and ``end`` are where the noteheads
    under its two ends are struck (the second may be one tied to ``last``)."""

    first: str
    last: str
    onset: int
    end: int
    placement: Placement = ""
