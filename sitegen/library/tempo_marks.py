"""A tempo as teachers write it: a note value and how many of them there are in a minute."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

#: Note values by their names on both sides of the Atlantic, in quarters.
NOTE_VALUES: dict[str, Fraction] = {
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "sixteenth": Fraction(1, 4),
}
_BRITISH = {"semibreve": "whole", "minim": "half", "crotchet": "quarter", "quaver": "eighth", "semiquaver": "sixteenth"}
#: Notes as they are pasted out of a score, taken apart into heads, stems and flags (Unicode's NFD): the longest first.
_SIGNS = {
    "\U0001d158\U0001d165\U0001d16f": "sixteenth",
    "\U0001d158\U0001d165\U0001d16e": "eighth",
    "\U0001d158\U0001d165": "quarter",
    "\U0001d157\U0001d165": "half",
    "\U0001d15d": "whole",
    "\u2669": "quarter",
    "\u266a": "eighth",
}
_SIGN = re.compile(rf"({'|'.join(_SIGNS)})\ufe0e?\s*([.·\U0001d16d]?)")
_MARK = re.compile(
    r"(?P<dotted>dotted )?(?P<value>[a-z]+)(?: notes?)?\s*=\s*(?:ca?\.?\s*)?(?P<figure>\d+(?:\.\d+)?)", re.IGNORECASE
)
_WORDS_BEFORE = re.compile(r"[^=()]*\(([^()]*)\)")  # Andante (quarter = 60)
SLOWEST, FASTEST = 10, 400  # quarters a minute


@dataclass(frozen=True, slots=True)
class TempoMark:
    """``figure`` notes of ``value`` (such as ``dotted quarter``) a minute; ``value`` is empty where only a figure is
    given, which then counts quarters."""

    value: str
    figure: float

    @property
    def unit(self) -> Fraction:
        """The note value in quarters."""
        name = self.value or "quarter"
        plain = NOTE_VALUES[name.removeprefix("dotted ")]
        return plain * Fraction(3, 2) if name.startswith("dotted ") else plain

    @property
    def quarters_a_minute(self) -> float:
        return float(self.figure * self.unit)


def read_tempo(text: object) -> TempoMark:
    """``104``, ``quarter = 104``, ``dotted crotchet = 60`` or ``Andante (♩. = ca. 60)``. Raises ``ValueError`` for
    anything else, and for a tempo that no piece has (under 10 or over 400 quarters a minute)."""
    if isinstance(text, bool) or not isinstance(text, (int, float, str)):
        raise ValueError(text)
    if isinstance(text, str) and (found := _MARK.fullmatch(_in_words(text))):
        name = found["value"].lower()
        name = _BRITISH.get(name, name)
        if name not in NOTE_VALUES:
            raise ValueError(text)
        mark = TempoMark(("dotted " if found["dotted"] else "") + name, float(found["figure"]))
    else:
        mark = TempoMark("", float(text))
    if not SLOWEST <= mark.quarters_a_minute <= FASTEST:
        raise ValueError(text)
    return mark


def _in_words(text: str) -> str:
    """The mark without the words before its brackets, and with the note by its name: ``dotted quarter = 60``."""
    mark = _WORDS_BEFORE.sub(r"\1", unicodedata.normalize("NFD", text)).strip()
    return _SIGN.sub(lambda sign: ("dotted " if sign[2] else "") + _SIGNS[sign[1]], mark)


def value_of(unit: Fraction) -> str:
    """The name of a note value of so many quarters: ``dotted quarter`` for 3/2; empty where it has none."""
    for name, quarters in NOTE_VALUES.items():
        if unit == quarters:
            return name
        if unit == quarters * Fraction(3, 2):
            return f"dotted {name}"
    return ""
