"""A fugue of eight bars in three voices, as an editor would print it: the middle voice begins alone, under the number
of the highest; it lies on the upper staff but for bar 6. And a sonata that has it for a fugato."""

from __future__ import annotations

from sitegen.score import Score
from tests.notation import score_of

_UPPER = (
    "C5q G4e A4 B4 C5 D5q | G5q C5e E5 F#5 G5 A5q | G5e E5q D5 E5e F5q | E5e D5 C5 D5 E5q F5 "
    "| C6q G5e A5 B5 C6 D6q | B5e A5q G5 A5e F#5q | E5e C5q B4 C5e D5q | E5w "
    "; rw | B4e A4q G4 A4e F#4q | G4h E4 | G4h. F4q | E5e C5q B4 C5e D5q | rw | G4h G4 | C5w"
)
_LOWER = (
    "rw | rw | C3q G2e A2 B2 C3 D3q | E3h C3 | C3h G3 | G4q D4e E4 F#4 G4 A4q | C3q G2e A2 B2 C3 D3q | C3w "
    "; rw | rw | rw | rw | rw | G3h D3 | rw | rw"
)


def fugue() -> Score:
    """The fugue."""
    return score_of(right=_UPPER, left=_LOWER)


_MELODY = "E5q D5 C5h | G5q F5 E5h | A5q G5 F5 E5 | D5w | E5q D5 C5h | G5q F5 E5h | D5q E5 D5h | C5w"
_ALBERTI = (
    "C3e G3 E3 G3 C3 G3 E3 G3 | C3 G3 E3 G3 C3 G3 E3 G3 | F3 C4 A3 C4 F3 C4 A3 C4 | G3 D4 B3 D4 G3 D4 B3 D4 "
    "| C3 G3 E3 G3 C3 G3 E3 G3 | C3 G3 E3 G3 C3 G3 E3 G3 | G2 D3 B2 D3 G2 D3 B2 D3 | C3 G3 E3 G3 C3h"
)


def sonata_with_fugato() -> Score:
    """The fugue as bars 9 to 16 of a piece that is a melody over an Alberti bass before and after it."""
    rests = " | ".join(["rw"] * 8)
    upper, lower = (text.split(" ; ") for text in (_UPPER, _LOWER))
    return score_of(
        right=f"{_MELODY} | {upper[0]} | {_MELODY} ; {rests} | {upper[1]}",
        left=f"{_ALBERTI} | {lower[0]} | {_ALBERTI} ; {rests} | {lower[1]}",
    )
