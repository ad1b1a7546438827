"""What is odd in a score that is read all the same, a line each: bar, what is odd and what was done, what to do.

An odd bar must not cost the teacher the piece. So what cannot be as it is written is read as a musician at sight would
play it, and said. The same said of several bars is one line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

MOST_BARS_NAMED = 6


@dataclass(frozen=True, slots=True)
class Oddity:
    """``what`` is odd and how it is read, ``remedy`` what to do about it."""

    what: str
    remedy: str


@dataclass(slots=True)
class Oddities:
    """Every oddity found, with the printed numbers of its bars in order (or ``line 12`` for a file of text)."""

    found: dict[Oddity, list[str]] = field(default_factory=dict)

    def add(self, place: str, what: str, remedy: str) -> None:
        """Say something of a place: ``bar 12``, ``line 7`` or empty for the whole file."""
        places = self.found.setdefault(Oddity(what, remedy), [])
        if place not in places:
            places.append(place)

    def told(self) -> tuple[str, ...]:
        """One line for each oddity, in the order found."""
        return tuple(
            f"{where}: {sentence}" if (where := _together(places)) else sentence
            for odd, places in self.found.items()
            if (sentence := f"{odd.what}. {odd.remedy}")
        )


def _together(places: list[str]) -> str:
    """``bars 3, 5 and 9``; of many, the first and how many more."""
    named = [place for place in places if place]
    if len(named) < 2:
        return "".join(named)
    kind = named[0].split()[0]
    numbers = [place.removeprefix(kind).strip() for place in named]
    return f"{kind}s {listed(numbers, MOST_BARS_NAMED)}"


def listed(names: Sequence[str], most: int) -> str:
    """``3, 5 and 9``; of more than ``most`` names, so many of them and how many more."""
    if len(names) > most:
        return f"{', '.join(names[:most])} and {len(names) - most} more"
    return " and ".join(", ".join(names).rsplit(", ", 1))
