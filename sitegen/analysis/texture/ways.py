"""What a row of the table of textures holds: the words for a texture, and the ways of writing it.

A way is bounds on the measures of ``staff_measures``. It fits as well as its worst bound: 1 inside it, falling to 0 at
the edge given by ``SLACK`` outside. ``FALLBACK`` ways are worth less, so that a plainer name is used only where no
figure fits.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

FIGURE = 1.0
FALLBACK = 0.4
CHANGE = 0.4  # what it costs to change the name from one stretch to the next
HALF_SILENT = 0.45  # half a bar's rest inside a figure is still the figure

INF = float("inf")

# how far outside a bound a measure may lie before the way is out of the question
SLACK = {
    "attacks a beat": 0.5,
    "span": 3.0,
    "reach": 3.0,
    "chords a bass": 0.4,
    "bass to chord": 3.0,
    "busier": 0.5,
}
SHARE_SLACK = 0.25  # for all other measures: shares of 1, and counts, of which one too few is too few

Family = Literal["figures", "patterns", "chords", "octaves", "line", "run", "voices", "rest"]


@dataclass(frozen=True, slots=True)
class WayOfWriting:
    """One way of writing a texture: the least and the most of each measure that is bounded."""

    bounds: Mapping[str, tuple[float, float]]
    worth: float = FIGURE


@dataclass(frozen=True, slots=True)
class TextureKind:
    """A texture that is known: its ``name``, what it means for whoever names it, and the family of like textures, with
    which it makes one passage and is reduced alike. In sentences it is called ``alone`` where a hand has it by itself,
    ``below`` where it accompanies, and ``both``, where that is said otherwise, of both hands or of one without a
    tune."""

    name: str
    meaning: str
    family: Family
    alone: str
    below: str
    both: str = ""
    ways: tuple[WayOfWriting, ...] = ()


def at_least(share: float) -> tuple[float, float]:
    """The bounds of a measure that may be as great as it can be."""
    return share, INF


def at_most(share: float) -> tuple[float, float]:
    """The bounds of a measure that may be as small as it can be."""
    return -INF, share


YES, NO = at_least(1), at_most(0)

# A line of its own, by which two hands are heard as counterpoint, and how unlike their rhythms must be
LINE = WayOfWriting(
    {"single": at_least(0.7), "steps": at_least(0.45), "attacks": at_least(3), "attacks a beat": at_least(0.9)}
)
COUNTERPOINT_WORTH = 0.75
COUNTERPOINT_VOICES = 0.5  # what one staff as counterpoint must be worth to count as a line
COUNTERPOINT_OWN_ONSETS = 0.25
