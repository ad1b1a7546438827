"""What chords are called in a key: the degrees on which it has them.

Numerals follow Kostka and Payne, Tonal Harmony, chapters 3 to 4 (diatonic triads and sevenths), 7 to 8 (figures), 16 to
17 (applied chords), 21 to 23 (mixture, the Neapolitan, augmented sixths). In minor, ``vi`` and ``vii`` with a minor or
diminished triad stand on the raised sixth and seventh, ``VI`` and ``VII`` on the natural ones. The cadential six-four
is ``V64-53``: over the bass of the dominant, to whose fifth and third its sixth and fourth go (Aldwell and Schachter,
ch. 10); the chord that follows is ``V`` (or ``V7``).

Roots are kept on the line of fifths (C = 0, G = 1, F = -1), so that spelling is never lost.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitegen.analysis.chords.qualities import Quality

Mode = Literal["major", "minor"]

CADENTIAL = "V64-53"
"""The numeral of a cadential six-four. ``V64`` is another chord: the dominant over its own fifth."""


@dataclass(frozen=True, slots=True)
class KeyDegree:
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


def _places(mode: Mode) -> dict[tuple[int, str], tuple[KeyDegree, ...]]:
    found: dict[tuple[int, str], list[KeyDegree]] = {}

    def add(place: KeyDegree, quality: str) -> None:
        found.setdefault((place.fifths * 7 % 12, quality), []).append(place)

    own, targets = _OWN[mode].split(), _TARGETS[mode].split()
    for numeral, fifths, qualities in zip(own[::3], own[1::3], own[2::3], strict=True):
        for quality in qualities.split(","):
            add(KeyDegree(numeral, int(fifths)), quality)
    for sixth, above in _SIXTHS:
        add(KeyDegree("", above), sixth)
    for target, root, _ in zip(targets[::3], targets[1::3], targets[2::3], strict=True):
        for numeral, above, applied in _APPLIED:
            for quality in applied:
                add(KeyDegree(numeral, int(root) + above, target), quality)
        for sixth, above in _SIXTHS:
            add(KeyDegree("", int(root) + above, target), sixth)
    return {key: tuple(places) for key, places in found.items()}


PLACES: dict[Mode, dict[tuple[int, str], tuple[KeyDegree, ...]]] = {mode: _places(mode) for mode in ("major", "minor")}
"""Where a key has a chord, by its root in semitones above the tonic and its quality: the plainest reading first."""


def place_of(mode: Mode, interval: int, quality: Quality, degree: str = "") -> KeyDegree | None:
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
        return KeyDegree(numeral, NEAREST_FIFTHS[interval])
    if name in _LENT:
        numeral, above = _LENT[name]
        target = (interval - above * 7) % 12
        return KeyDegree(numeral, NEAREST_FIFTHS[target] + above, _UPPER[mode][target])
    return None


def degree_of(place: KeyDegree, quality: Quality) -> str:
    """The degree without figures: ``viio/V``, ``Ger``."""
    return place.numeral + quality.sign + (f"/{place.target}" if place.target else "")


def target_fifths(mode: Mode, target: str) -> int | None:
    """The root of the degree to which a chord is applied, above the tonic on the line of fifths; None for no degree."""
    numerals = _LOWER[mode] if target.lstrip("b#").islower() else _UPPER[mode]
    return NEAREST_FIFTHS[numerals.index(target)] if target in numerals else None
