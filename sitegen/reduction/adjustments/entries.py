"""The fields of one entry of the front matter: read, and refused where they are not what they must be.

Each function raises ``ContentError`` with the file and the line of its entry.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from sitegen.errors import ContentError, FaultsError, SitegenError, each_fault, located
from sitegen.places.nouns import Place
from sitegen.places.parsing import CURLY_MARKS, parse_bars, parse_place
from sitegen.places.words import nearest
from sitegen.reduction.wishes import Wish

Parsed = TypeVar("Parsed")
#: What is told to be written in a field that is missing or empty.
_MEANT = {
    "at": "a place, such as 'bar 4, beat 2, right hand, top note'",
    "stage": "a stage by its name or its title",
    "technique": "the name of a technique",
    "file": "the name of a score file",
    "chord": "a numeral such as V65/V, or a symbol such as D7/F#",
    "key": "a key such as E minor",
    "title": "a title",
    "listen": "a sentence",
}


@dataclass(frozen=True, slots=True)
class WishEntry:
    """The fields of an entry, with the file and the line on which it stands."""

    data: Mapping[str, object]
    file: str
    line: int

    def fault(self, what: str, remedy: str) -> ContentError:
        """What is wrong with this entry."""
        return ContentError(what, remedy, self.file, self.line)

    def only(self, allowed: frozenset[str]) -> None:
        """Refuses fields other than those ``allowed``."""
        for key, value in self.data.items():
            if key in allowed:
                continue
            if value is None and "at" in self.data:
                # a comma between brackets begins a field of its own
                what = f"a comma parts '{key}' from the words before it"
                whole = f"{self.data['at']}, {key}"
                straight = "straight " if any(mark in whole for mark in CURLY_MARKS) else ""
                remedy = f"put the whole place in {straight}quotation marks: at: '{whole.strip(CURLY_MARKS)}'"
                raise self.fault(what, remedy)
            raise self.fault(f"'{key}' does not belong here", f"fields: {', '.join(sorted(allowed))}")

    def text(self, key: str, otherwise: str | None = None) -> str:
        """The text of a field; ``otherwise`` where it is not given, if it need not be."""
        if otherwise is not None and key not in self.data:
            return otherwise
        value = self.data.get(key)
        if not isinstance(value, str) or not value.strip():
            if value is None:
                what = f"'{key}' is {'empty' if key in self.data else 'missing'}"
                raise self.fault(what, f"write {key}: and {_MEANT.get(key, 'its value')}")
            raise self.fault(f"{key}: '{value}' is not a text", f"write {key}: and {_MEANT.get(key, 'its value')}")
        return value.strip()

    def words(self, key: str) -> str:
        """Words for the page, empty where none are given; a title may be a figure."""
        value = self.data.get(key)
        if isinstance(value, int | float) and not isinstance(value, bool):
            return str(value)
        return self.text(key, "")

    def choice(self, key: str, known: Sequence[str]) -> str:
        """One of ``known``, in any case, as it is written there."""
        said = self.text(key)
        found = next((name for name in known if name.lower() == " ".join(said.lower().split())), None)
        if found is None:
            raise self.fault(f"'{said}' is no {key}", nearest(said, known))
        return found

    def place(self, key: str) -> Place:
        """A place, understood."""
        with located(self.file, self.line):
            return parse_place(self._figure_or_text(key))

    def until(self) -> str:
        """The words of ``until:``, empty where it is not given."""
        return self.place("until").text if "until" in self.data else ""

    def bars(self) -> str:
        """The words for whole bars, empty where none are given."""
        if "bars" not in self.data:
            return ""
        with located(self.file, self.line):
            return parse_bars(self._figure_or_text("bars")).text

    def yes(self, key: str) -> bool | None:
        """Whether a field says yes; None where it is not given."""
        value = self.data.get(key)
        if value is not None and not isinstance(value, bool):
            raise self.fault(f"{key}: '{value}' is neither yes nor no", "write true or false")
        return value

    def _figure_or_text(self, key: str) -> str:
        value = self.data.get(key)
        is_figure = isinstance(value, int) and not isinstance(value, bool)
        return str(value) if is_figure else self.text(key)


def entry_of(wish: Wish, file: str) -> WishEntry:
    """The entry of one wish, which must be fields with values."""
    if not isinstance(wish.data, dict) or not all(isinstance(key, str) for key in wish.data):
        remedy = "write a name, such as bass line, or fields and values in braces: {technique: bass line, bars: 1-8}"
        raise ContentError(f"'{wish.data}' is not understood", remedy, file, wish.line)
    return WishEntry(dict(wish.data), file, wish.line)


@dataclass(slots=True)
class Faults:
    """What is found wrong, entry by entry, so that all of it is told together."""

    found: list[SitegenError] = field(default_factory=list)

    def attempt(self, make: Callable[[], Parsed]) -> Parsed | None:
        """What ``make`` makes; None, and a fault more, where it cannot."""
        try:
            return make()
        except SitegenError as error:
            self.found += each_fault(error)
            return None

    def tell(self) -> None:
        """Raises what was found, in the order of the file: itself if it is one, else ``FaultsError``."""
        ordered = sorted(self.found, key=lambda fault: fault.line or 0)
        if ordered:
            raise ordered[0] if len(ordered) == 1 else FaultsError(ordered)
