"""What chords are called: qualities with their signs and symbols, and the degrees on which a key has them.

Numerals follow Kostka and Payne, Tonal Harmony, chapters 3 to 4 (diatonic triads and sevenths), 7 to 8 (figures), 16 to
17 (applied chords), 21 to 23 (mixture, the Neapolitan, augmented sixths); what has no textbook sign there (added and
missing tones) is written in brackets as RomanText does (Tymoczko, Gotham, Cuthbert and Ariza, "The RomanText Format",
ISMIR 2019). In minor, ``vi`` and ``vii`` with a minor or diminished triad stand on the raised sixth and seventh,
``VI`` and ``VII`` on the natural ones. The cadential six-four is ``V64-53``: over the bass of the dominant, to whose
fifth and third its sixth and fourth go (Aldwell and Schachter, ch. 10); the chord that follows is ``V`` (or ``V7``).

Roots are kept on the line of fifths (C = 0, G = 1, F = -1), so that spelling is never lost.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Mode = Literal["major", "minor"]

CADENTIAL = "V64-53"
"""The numeral of a cadential six-four. ``V64`` is another chord: the dominant over its own fifth."""


@dataclass(frozen=True, slots=True)
class Quality:
    """A chord as intervals above its root.

    ``fifths`` are its tones on the line of fifths from the root: third, fifth, seventh, then others. ``upper`` says
    whether the third is major; ``sign`` is written behind the numeral, ``figures`` behind the sign for each tone in
    the bass, ``added`` last. ``symbol`` is the lead-sheet suffix. An incomplete chord has the degrees of the chord
    that it ``stands_for``.
    """

    name: str
    fifths: tuple[int, ...]
    upper: bool
    sign: str
    figures: tuple[str, ...]
    symbol: str
    added: str = ""
    stands_for: str = ""

    @property
    def tones(self) -> frozenset[int]:
        """The tones in semitones above the root."""
        return frozenset(fifth * 7 % 12 for fifth in self.fifths)


TRIAD = ("", "6", "64")
SEVENTH = ("7", "65", "43", "42")
NINTH = ("9", "65", "43", "42", "9")
NO_FIFTH = ("7", "65", "42")
R, M3, m3, P5, d5, A5, M7, m7, d7, M9, m9 = 0, 4, -3, 1, -6, 8, 5, -2, -9, 2, -5  # on the line of fifths

QUALITIES = (
    Quality("M", (R, M3, P5), True, "", TRIAD, ""),
    Quality("m", (R, m3, P5), False, "", TRIAD, "m"),
    Quality("o", (R, m3, d5), False, "o", TRIAD, "dim"),
    Quality("+", (R, M3, A5), True, "+", TRIAD, "aug"),
    Quality("7", (R, M3, P5, m7), True, "", SEVENTH, "7"),
    Quality("M7", (R, M3, P5, M7), True, "", SEVENTH, "maj7"),
    Quality("m7", (R, m3, P5, m7), False, "", SEVENTH, "m7"),
    Quality("mM7", (R, m3, P5, M7), False, "", SEVENTH, "mM7"),
    Quality("h7", (R, m3, d5, m7), False, "ø", SEVENTH, "m7b5"),
    Quality("o7", (R, m3, d5, d7), False, "o", SEVENTH, "dim7"),
    Quality("+7", (R, M3, A5, m7), True, "+", SEVENTH, "7#5"),
    Quality("9", (R, M3, P5, m7, M9), True, "", NINTH, "9"),
    Quality("b9", (R, M3, P5, m7, m9), True, "", NINTH, "7b9"),
    Quality("M9", (R, M3, P5, M7, M9), True, "", NINTH, "maj9"),
    Quality("m9", (R, m3, P5, m7, M9), False, "", NINTH, "m9"),
    Quality("It", (R, -10, d5), True, "It", ("53", "6", "64"), ""),
    Quality("Ger", (R, -10, d5, d7), True, "Ger", SEVENTH, ""),
    Quality("Fr", (R, M3, d5, m7), True, "Fr", SEVENTH, ""),
    Quality("M-5", (R, M3), True, "", ("", "6"), "(no5)", "[no5]", "M"),
    Quality("m-5", (R, m3), False, "", ("", "6"), "m(no5)", "[no5]", "m"),
    Quality("M-3", (R, P5), True, "", ("", "64"), "5", "[no3]", "M"),
    Quality("7-5", (R, M3, m7), True, "", NO_FIFTH, "7(no5)", "[no5]", "7"),
    Quality("m7-5", (R, m3, m7), False, "", NO_FIFTH, "m7(no5)", "[no5]", "m7"),
    Quality("sus4", (R, -1, P5), True, "", ("", "", "64"), "sus4", "[no3][add4]"),
    Quality("7sus4", (R, -1, P5, m7), True, "", ("7", "7", "43", "42"), "7sus4", "[no3][add4]"),
)  # fmt: skip
BY_TONES = {quality.tones: quality for quality in QUALITIES}
"""Qualities by their tones above the root; no two rows sound alike from one root."""


@dataclass(frozen=True, slots=True)
class Place:
    """A degree on which a key has a chord: ``fifths`` of its root above the tonic, ``target`` of an applied chord."""

    numeral: str
    fifths: int
    target: str = ""


# numeral, root above the tonic on the line of fifths, the qualities that it has without further signs
_OWN: dict[Mode, str] = {
    "major": """
        I 0 M,M7,M9,+,sus4  V 1 M,7,9,b9,+,+7,sus4,7sus4
        ii 2 m,m7,m9,o,h7  IV -1 M,M7,M9  vi 3 m,m7  vii 5 o,h7,o7  iii 4 m,m7
        i 0 m,o7  iv -1 m,m7  bII -5 M,M7  bIII -3 M,M7,+  bVI -4 M,M7,+  bVII -2 M,M7  v 1 m,m7
        bvi -4 m  biii -3 m  bvii -2 m  bii -5 m  vi 3 o  iii 4 o""",
    "minor": """
        i 0 m,m7  V 1 M,7,9,b9,+,+7,sus4,7sus4
        iv -1 m,m7  ii 2 o,h7  VI -4 M,M7  vii 5 o,o7,h7  III -3 M,M7,+  VII -2 M
        I 0 M  IV -1 M,7  ii 2 m,m7  v 1 m,m7  bII -5 M,M7  vi 3 h7,o,m,m7  vii 5 m
        bvi -4 m  iii -3 m  bvii -2 m  bii -5 m""",
}
# the degrees to which chords are applied, their roots, and whether they are major
_TARGETS: dict[Mode, str] = {
    "major": "V 1 M  ii 2 m  vi 3 m  IV -1 M  iii 4 m  bII -5 M  bVI -4 M  bIII -3 M  bVII -2 M  iv -1 m  vii 5 m",
    "minor": "V 1 M  iv -1 m  III -3 M  VI -4 M  VII -2 M  v 1 m  bII -5 M  ii 2 m",
}
_APPLIED = (("V", 1, ("M", "7", "9", "b9", "+", "+7")), ("vii", 5, ("o", "h7", "o7")))
_SIXTHS = (("It", 6), ("Ger", 6), ("Fr", 2))
_UPPER: dict[Mode, tuple[str, ...]] = {
    "major": ("I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII"),
    "minor": ("I", "bII", "II", "III", "#III", "IV", "#IV", "V", "VI", "#VI", "VII", "#VII"),
}
_LOWER: dict[Mode, tuple[str, ...]] = {
    "major": ("i", "bii", "ii", "biii", "iii", "iv", "#iv", "v", "bvi", "vi", "bvii", "vii"),
    "minor": ("i", "bii", "ii", "iii", "#iii", "iv", "#iv", "v", "bvi", "vi", "bvii", "vii"),
}
_FREE_STANDING = ("M", "m", "o", "+", "h7", "o7")
_LENT = {"7": ("V", 1), "9": ("V", 1), "b9": ("V", 1), "+7": ("V", 1), "M7": ("I", 0), "M9": ("I", 0), "m7": ("ii", 2),
         "m9": ("ii", 2)}  # fmt: skip
NEAREST_FIFTHS = (0, -5, 2, -3, 4, -1, 6, 1, -4, 3, -2, 5)
"""How a key spells each semitone above its tonic where nothing else decides."""


def _places(mode: Mode) -> dict[tuple[int, str], tuple[Place, ...]]:
    found: dict[tuple[int, str], list[Place]] = {}

    def add(place: Place, quality: str) -> None:
        found.setdefault((place.fifths * 7 % 12, quality), []).append(place)

    own, targets = _OWN[mode].split(), _TARGETS[mode].split()
    for numeral, fifths, qualities in zip(own[::3], own[1::3], own[2::3], strict=True):
        for quality in qualities.split(","):
            add(Place(numeral, int(fifths)), quality)
    for sixth, above in _SIXTHS:
        add(Place("", above), sixth)
    for target, root, _ in zip(targets[::3], targets[1::3], targets[2::3], strict=True):
        for numeral, above, applied in _APPLIED:
            for quality in applied:
                add(Place(numeral, int(root) + above, target), quality)
        for sixth, above in _SIXTHS:
            add(Place("", int(root) + above, target), sixth)
    return {key: tuple(places) for key, places in found.items()}


PLACES: dict[Mode, dict[tuple[int, str], tuple[Place, ...]]] = {mode: _places(mode) for mode in ("major", "minor")}
"""Where a key has a chord, by its root in semitones above the tonic and its quality: the plainest reading first."""


def place_of(mode: Mode, interval: int, quality: Quality, degree: str = "") -> Place | None:
    """The degree of a chord; ``degree`` (as ``Harmony.degree``) chooses where a key has it in two ways.

    A triad, or a chord with a sign of its own, that the tables do not hold stands on the nearest degree of the key;
    other sevenths and ninths are called what they are in the nearest key that has them (``I7/II``). None for what
    no numeral can say.
    """
    known = PLACES[mode].get((interval, quality.stands_for or quality.name), ())
    for place in known:
        if degree and degree_of(place, quality) == degree:
            return place
    if known:
        return known[0]
    name = quality.stands_for or quality.name
    if name in _FREE_STANDING:
        numeral = _UPPER[mode][interval] if quality.upper else _LOWER[mode][interval]
        return Place(numeral, NEAREST_FIFTHS[interval])
    if name in _LENT:
        numeral, above = _LENT[name]
        target = (interval - above * 7) % 12
        return Place(numeral, NEAREST_FIFTHS[target] + above, _UPPER[mode][target])
    return None


def degree_of(place: Place, quality: Quality) -> str:
    """The degree without figures: ``viio/V``, ``Ger``."""
    return place.numeral + quality.sign + (f"/{place.target}" if place.target else "")


def target_fifths(mode: Mode, target: str) -> int | None:
    """The root of the degree to which a chord is applied, above the tonic on the line of fifths; None for no degree."""
    numerals = _LOWER[mode] if target.lstrip("b#").islower() else _UPPER[mode]
    return NEAREST_FIFTHS[numerals.index(target)] if target in numerals else None
