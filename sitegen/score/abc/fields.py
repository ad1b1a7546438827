"""What the information fields of ABC mean: keys, metres, unit lengths, tempi, clefs, voices.

Source: the ABC music standard 2.1, sections 3 (information fields) and 4.6 (clefs and transposition).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from sitegen.fifths import ALONG, fifths_of, signature_alter

_MODES = {
    "": 0,
    "maj": 0,
    "ion": 0,
    "m": -3,
    "min": -3,
    "aeo": -3,
    "mix": -1,
    "dor": -2,
    "phr": -4,
    "lyd": 1,
    "loc": -5,
}
_KEY = re.compile(r"([A-G])([#b]?)\s*(?:(maj|min|ion|aeo|mix|dor|phr|lyd|loc)[a-z]*|(m))?(?![a-z=])", re.I)
_SIGNS = {"^^": 2, "^": 1, "=": 0, "_": -1, "__": -2}
_CLEFS = {
    "treble": ("G", 2), "bass": ("F", 4), "alto": ("C", 3), "tenor": ("C", 4), "alto4": ("C", 4), "alto1": ("C", 1),
    "soprano": ("C", 1), "mezzosoprano": ("C", 2), "baritone": ("C", 5), "bass3": ("F", 3), "treble1": ("G", 1),
    "G": ("G", 2), "F": ("F", 4), "C": ("C", 3), "G2": ("G", 2), "F4": ("F", 4), "C3": ("C", 3), "C4": ("C", 4),
}  # fmt: skip
_CLEF = re.compile(r"(?:clef=)?\"?([A-Za-z]+\d?)([+-]8)?\"?")


@dataclass(frozen=True)
class AbcKey:
    """A key: ``fifths`` as in a signature, ``alters`` what each step is altered by."""

    fifths: int = 0
    mode: str = "major"
    alters: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class AbcClef:
    """Sign, line and octaves of a clef, and ``shift``: octaves that the written notes are moved by."""

    sign: str = "G"
    line: int = 2
    octaves: int = 0
    shift: int = 0


@dataclass(frozen=True)
class AbcMetre:
    """A metre as MusicXML writes it (``beats`` may be ``3+2``), with its symbol; ``free`` has none."""

    beats: str = "4"
    beat_type: int = 4
    symbol: str = ""
    free: bool = False

    @property
    def quarters(self) -> Fraction:
        """The length of a full bar; 0 for a free metre."""
        return Fraction(0) if self.free else Fraction(4 * sum(map(int, self.beats.split("+"))), self.beat_type)

    @property
    def compound(self) -> bool:
        return not self.free and sum(map(int, self.beats.split("+"))) % 3 == 0 and self.beat_type >= 8


@dataclass(frozen=True)
class AbcVoiceField:
    """A ``V:`` field: the voice's id, and its clef and name where it gives them."""

    id: str
    clef: AbcClef | None = None
    name: str = ""


def read_key(text: str) -> AbcKey | None:
    """A ``K:`` field; None where it names no key (a clef alone)."""
    text = text.strip()
    if text.lower().startswith("none"):
        return AbcKey(0, "none")
    if text.startswith(("HP", "Hp")):
        return AbcKey(2, "none", (("C", 1), ("F", 1)))
    found = _KEY.match(text)
    if not found or text[0] not in "ABCDEFG":
        return None
    mode = (found[3] or found[4] or "").lower()
    fifths = fifths_of(found[1].upper() + found[2]) + _MODES[mode]
    if abs(fifths) > 7:
        return None
    rest = text[found.end() :]
    alters = {} if re.match(r"\s*exp\b", rest) else dict(_signature(fifths))
    for sign, step in re.findall(r"(?<!\S)(\^\^|\^|__|_|=)([A-Ga-g])(?!\S)", rest):
        alters[step.upper()] = _SIGNS[sign]
    return AbcKey(fifths, "minor" if _MODES[mode] == -3 else "major", tuple(sorted(alters.items())))


def _signature(fifths: int) -> tuple[tuple[str, int], ...]:
    """What a key signature alters."""
    order = ALONG if fifths >= 0 else ALONG[::-1]
    return tuple((step, signature_alter(step, fifths)) for step in order[: abs(fifths)])


def read_clef(text: str) -> AbcClef | None:
    """The clef in a ``K:`` or ``V:`` field; None where there is none."""
    shift = re.search(r"\boctave=(-?\d)\b", text)
    for word in re.findall(r"\S+", text):
        found = _CLEF.fullmatch(word)
        if found and found[1] in _CLEFS and (word.startswith("clef=") or len(found[1]) > 2):
            sign, line = _CLEFS[found[1]]
            octaves = {"+8": 1, "-8": -1}.get(found[2] or "", 0)
            return AbcClef(sign, line, octaves, int(shift[1]) if shift else 0)
    return AbcClef(shift=int(shift[1])) if shift else None


def read_metre(text: str) -> AbcMetre | None:
    """An ``M:`` field; None where it cannot be read."""
    text = text.strip().replace("(", "").replace(")", "").replace(" ", "")
    if text in ("C", "c"):
        return AbcMetre("4", 4, "common")
    if text in ("C|", "c|"):
        return AbcMetre("2", 2, "cut")
    if text.lower() == "none" or not text:
        return AbcMetre(free=True)
    found = re.fullmatch(r"(\d{1,2}(?:\+\d{1,2})*)/(1|2|4|8|16|32|64)", text)
    return AbcMetre(found[1], int(found[2])) if found and sum(map(int, found[1].split("+"))) else None


def read_length(text: str) -> Fraction | None:
    """An ``L:`` field, in quarters; None where it cannot be read."""
    found = re.fullmatch(r"(\d{1,3})(?:/(\d{1,3}))?", text.replace(" ", ""))
    if not found or int(found[1]) == 0 or int(found[2] or 1) == 0:
        return None
    return Fraction(4 * int(found[1]), int(found[2] or 1))


def read_tempo(text: str, unit: Fraction) -> tuple[str, float]:
    """A ``Q:`` field: its words, and quarter notes a minute (0 where it gives none); ``unit`` is the ``L:`` length."""
    words = " ".join(re.findall(r'"([^"]*)"', text))
    bare = re.sub(r'"[^"]*"', "", text)
    speed = re.search(r"(?:=\s*|^\s*)(\d{1,3}(?:\.\d{1,3})?)\s*$", bare)
    beats = re.findall(r"(\d{1,3})/(\d{1,3})", bare)
    if not speed or any(int(bottom) == 0 for _, bottom in beats):
        return words, 0.0
    beat = sum((Fraction(4 * int(top), int(bottom)) for top, bottom in beats), Fraction(0)) or unit
    return words, float(Fraction(speed[1]) * beat)


def read_voice(text: str) -> AbcVoiceField:
    """A ``V:`` field."""
    name = re.search(r'\b(?:name|nm)="([^"]*)"', text)
    words = text.split()
    return AbcVoiceField(words[0] if words else "1", read_clef(" ".join(words[1:])), name[1] if name else "")


def read_transcription(text: str) -> tuple[bool, str]:
    """A ``Z:`` field: whether it tells of rights, else who wrote the tune down in ABC (standard, 3.1.8)."""
    found = re.match(r"abc-(copyright|transcription|edited-by)[\s:]+(.*)", text)
    return (found[1] == "copyright", found[2]) if found else (False, text)
