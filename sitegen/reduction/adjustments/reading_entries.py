"""The teacher's readings as entries of the front matter: for each kind what it is about, and the values that it has."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import get_args

from sitegen.analysis import LineName
from sitegen.analysis.chords import is_numeral, spell
from sitegen.analysis.form import FIRMNESS
from sitegen.analysis.functions import FUNCTIONS
from sitegen.analysis.texture import KINDS
from sitegen.fifths import LETTERS
from sitegen.places.nouns import Place
from sitegen.reduction.adjustments.entries import WishEntry
from sitegen.reduction.adjustments.said_otherwise import chord_meant, key_meant
from sitegen.reduction.wishes import Reading, What

LINES = (*get_args(LineName), "none")
PHRASES = ("begins", "whole")
CADENCES = (*FIRMNESS, "none")
KEYS = tuple(f"{step}{sign} {mode}" for step in LETTERS for sign in ("", "#", "b") for mode in ("major", "minor"))
_SIGNS = str.maketrans({"♭": "b", "♯": "#", "°": "o"})
#: What is said for short or at length in place of the name of a chord: C- and C minor for Cm, V7 of V for V7/V.
_SAID_OF_CHORDS: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"^([A-Ga-g][#b]?)\s*(?:-|\bminor|\bmin\b)"), r"\1m"),
    (re.compile(r"^([A-Ga-g][#b]?)\s+major$"), r"\1"),
    (re.compile(r"\s+of\s+"), "/"),
    (re.compile(r"\s*\((add[#b]?\d+)\)"), r"\1"),
)
_KEY = re.compile(r"([A-G])\s*(flat|sharp|b|#|)\s*-?\s*(major|minor|)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class _Kind:
    """A row of the table: how the value is read, what ``at`` must be (and what to say where it is not), an example of
    it, what it says, other fields."""

    value: Callable[[WishEntry], str]
    place: Callable[[WishEntry, Place], None]
    example: str
    meaning: str
    fields: frozenset[str] = frozenset()


def reading_of(entry: WishEntry) -> Reading | None:
    """The reading of an entry; None where it is none. Raises ``ContentError`` for what is not understood."""
    what = next((name for name in READINGS if name in entry.data), None)
    if what is None:
        return None
    kind = READINGS[what]
    entry.only(kind.fields | {"at", what})
    place, value = entry.place("at"), kind.value(entry)
    kind.place(entry, place)
    until, cadence = entry.until(), entry.choice("cadence", CADENCES) if "cadence" in entry.data else ""
    if value == "begins" and until:
        raise entry.fault("a phrase that begins has no until", "write phrase: whole to say where it ends")
    return Reading(what, place.text, value, entry.line, until, cadence)


def _function(entry: WishEntry) -> str:
    return entry.choice("function", FUNCTIONS)


def _line(entry: WishEntry) -> str:
    return entry.choice("line", LINES)


def _texture(entry: WishEntry) -> str:
    return entry.choice("texture", KINDS)


def _chord(entry: WishEntry) -> str:
    given = name = entry.text("chord").translate(_SIGNS)
    for said, written in _SAID_OF_CHORDS:
        name = said.sub(written, name)
    meant = "" if is_numeral(name) and spell(name) is not None else chord_meant(given)
    if not meant and not is_numeral(name) and (small := re.match(r"([a-g][#b]?)(m?)", name)):
        root, rest = small[1].capitalize(), name[small.end() :]
        forms = f"{root}m{rest}" if small[2] else f"{root}m{rest} for minor, or {root}{rest} for major"
        raise entry.fault(f"'{given}' begins with a small letter, which is no chord symbol", f"write {forms}")
    if spell(name) is None:
        remedy = meant or "write a numeral of the key such as V65/V, or a chord symbol such as D7/F#"
        raise entry.fault(f"'{given}' is no chord", remedy)
    return name


def _key(entry: WishEntry) -> str:
    """A key as the analysis writes it; ``e minor``, ``B flat`` and ``f♯-minor`` are understood too."""
    said = entry.text("key").translate(_SIGNS)
    found = _KEY.fullmatch(said)
    if found is None:
        same = [key for key in KEYS if key.split()[0] == said.split()[0].capitalize()]
        remedy = key_meant(said) or f"write a key such as {' or '.join(same or ['E minor', 'Bb major'])}"
        raise entry.fault(f"'{said}' is no key", remedy)
    step, sign, mode = found.groups()
    sign = {"flat": "b", "sharp": "#"}.get(sign.lower(), sign.lower())
    return f"{step.upper()}{sign} {mode.lower() or ('major' if step.isupper() else 'minor')}"


def _phrase(entry: WishEntry) -> str:
    if entry.data["phrase"] is True or entry.data["phrase"] == "yes":
        return "whole"
    return entry.choice("phrase", PHRASES)


def _note(entry: WishEntry, place: Place) -> None:
    if not place.is_note:
        raise entry.fault(f"'{place.text}' does not name a note", "add its pitch, or top note")


def _stretch(entry: WishEntry, place: Place) -> None:
    if place.is_note:
        raise entry.fault(f"'{place.text}' names a note", "name the bars")


def _stretch_of_both_hands(entry: WishEntry, place: Place) -> None:
    _stretch(entry, place)
    _both_hands(entry, place)


def _moment(entry: WishEntry, place: Place) -> None:
    if place.beat is None and place.first != place.last:
        what = next(name for name in READINGS if name in entry.data)
        raise entry.fault(f"'{place.text}' does not say where the {what} begins", "give its bar and beat")
    if not place.is_note:
        _both_hands(entry, place)


def _both_hands(entry: WishEntry, place: Place) -> None:
    if place.hand is not None or place.staff is not None:
        what = next(name for name in READINGS if name in entry.data)
        raise entry.fault(f"a {what} is of both hands, and '{place.text}' names one", "leave out the hand")


def _of_phrase(entry: WishEntry, place: Place) -> None:
    (_moment if _phrase(entry) == "begins" else _stretch_of_both_hands)(entry, place)


READINGS: dict[What, _Kind] = {
    "function": _Kind(
        _function, _note, "{at: 'bar 4, beat 1, RH, top note', function: appoggiatura}", "what a note is in its chord"
    ),
    "line": _Kind(
        _line, _note, "{at: 'bar 4, beat 1, RH, top note', line: melody}",
        f"the line that a note is of: {', '.join(LINES[:-1])} or none",
    ),
    "texture": _Kind(
        _texture, _stretch, "{at: 'bars 5-8, left hand', texture: broken chord}",
        "what a hand, or both, do in some bars", frozenset({"until"}),
    ),
    "chord": _Kind(
        _chord, _moment, "{at: 'bar 7, beat 3', chord: V65/V, until: 'bar 8, beat 1'}",
        "a chord, by a numeral of the key there or a symbol; without until as long as the harmony that is heard there",
        frozenset({"until"}),
    ),
    "key": _Kind(
        _key, _stretch_of_both_hands, "{at: 'bars 9-16', key: E minor}", "the key of some bars", frozenset({"until"})
    ),
    "phrase": _Kind(
        _phrase, _of_phrase, "{at: 'bars 5-8', phrase: whole, cadence: half cadence}",
        "begins: a phrase begins there; whole: these bars are one phrase; cadence says how it ends (or none)",
        frozenset({"until", "cadence"}),
    ),
}  # fmt: skip
"""The kinds of readings, by the field that says what is read."""
