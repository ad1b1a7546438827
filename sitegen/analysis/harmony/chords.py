"""The chords that can be heard, and what each is called in a key.

A *quality* is a set of intervals above the root; a *chord* a quality on one of twelve roots; a *degree* a chord as a
key hears it. Augmented sixths are rooted, as in figured-bass practice of the annotations' standard, on their raised
note: Italian and German on the raised fourth degree, French on the second (Aldwell and Schachter, Harmony and Voice
Leading, ch. 30, for what they hold). ``cadential`` qualities are the tonic triad as a six-four over the dominant's
bass: they look like the tonic and behave like the dominant.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Quality:
    """Intervals above the root in semitones, and as spelled: steps along the line of fifths from the root.

    ``family`` names the row of weights that its tones share, ``roles`` what each tone is in it.
    """

    name: str
    tones: tuple[int, ...]
    fifths: tuple[int, ...]
    family: str
    roles: str


QUALITIES = (
    Quality("major", (0, 4, 7), (0, 4, 1), "triad", "135"),
    Quality("minor", (0, 3, 7), (0, -3, 1), "triad", "135"),
    Quality("cadential major", (0, 4, 7), (0, 4, 1), "cadential", "135"),
    Quality("cadential minor", (0, 3, 7), (0, -3, 1), "cadential", "135"),
    Quality("diminished", (0, 3, 6), (0, -3, -6), "diminished", "135"),
    Quality("augmented", (0, 4, 8), (0, 4, 8), "diminished", "135"),
    Quality("dominant seventh", (0, 4, 7, 10), (0, 4, 1, -2), "dominant", "1357"),
    Quality("dominant ninth", (0, 2, 4, 7, 10), (0, 2, 4, 1, -2), "dominant", "19357"),
    Quality("dominant minor ninth", (0, 1, 4, 7, 10), (0, -5, 4, 1, -2), "dominant", "19357"),
    Quality("augmented dominant seventh", (0, 4, 8, 10), (0, 4, 8, -2), "dominant", "1357"),
    Quality("minor seventh", (0, 3, 7, 10), (0, -3, 1, -2), "seventh", "1357"),
    Quality("major seventh", (0, 4, 7, 11), (0, 4, 1, 5), "seventh", "1357"),
    Quality("half-diminished seventh", (0, 3, 6, 10), (0, -3, -6, -2), "leading", "1357"),
    Quality("diminished seventh", (0, 3, 6, 9), (0, -3, -6, -9), "leading", "1357"),
    Quality("Italian sixth", (0, 2, 6), (0, -10, -6), "sixth", "135"),
    Quality("German sixth", (0, 2, 6, 9), (0, -10, -6, -9), "sixth", "1357"),
    Quality("French sixth", (0, 4, 6, 10), (0, 4, -6, -2), "sixth", "1357"),
)
FAMILIES = ("triad", "cadential", "diminished", "dominant", "seventh", "leading", "sixth")
ROLES = (*(f"{family} {role}" for family in FAMILIES for role in ("1", "3", "5", "7", "9")), "foreign")
CHORDS = tuple((quality, root) for quality in range(len(QUALITIES)) for root in range(12))
INSIDE: Floats = np.array(
    [[(pc - root) % 12 in QUALITIES[q].tones for q, root in CHORDS] for pc in range(12)], dtype=np.float64
)
_Q = {quality.name: i for i, quality in enumerate(QUALITIES)}


def role_table() -> Ints:
    """Which row of ``ROLES`` each pitch class plays in each chord, the last for a foreign note: 12 by chords."""
    table = np.full((12, len(CHORDS)), len(ROLES) - 1, dtype=np.int64)
    for column, (q, root) in enumerate(CHORDS):
        quality = QUALITIES[q]
        for interval, role in zip(quality.tones, quality.roles, strict=True):
            table[(root + interval) % 12, column] = ROLES.index(f"{quality.family} {role}")
    return table


@dataclass(frozen=True, slots=True)
class Degree:
    """A chord as a key hears it: ``interval`` of its root above the tonic, ``target`` of an applied chord or None."""

    name: str
    interval: int
    quality: int
    function: str
    target: int | None = None


FUNCTIONS = ("tonic", "cadential", "dominant", "predominant", "submediant", "mediant", "applied", "borrowed")
_SHORT = {
    "M": "major", "m": "minor", "Mc": "cadential major", "mc": "cadential minor", "o": "diminished", "+": "augmented",
    "7": "dominant seventh", "9": "dominant ninth", "b9": "dominant minor ninth", "+7": "augmented dominant seventh",
    "m7": "minor seventh", "M7": "major seventh", "h7": "half-diminished seventh", "o7": "diminished seventh",
    "It": "Italian sixth", "Ger": "German sixth", "Fr": "French sixth",
}  # fmt: skip
_FUNCTION = dict(zip("TCDSVMAB", FUNCTIONS, strict=True))

# name, interval above the tonic, quality, function
_MAJOR = """
I 0 M T | Cad 0 Mc C | V 7 M D | V 7 7 D | IV 5 M S | ii 2 m S | ii 2 m7 S | viio 11 o D | viio 11 o7 D | viiø 11 h7 D
vi 9 m V | vi 9 m7 V | iii 4 m M | iii 4 m7 M | I 0 M7 T | IV 5 M7 S | V 7 9 D | V 7 b9 D | V+ 7 + D | V+ 7 +7 D
i 0 m T | Cad 0 mc C | iv 5 m S | iio 2 o S | iiø 2 h7 S | bVI 8 M B | bII 1 M S | bIII 3 M B | bVII 10 M B | v 7 m B
I+ 0 + T | It 6 It S | Ger 6 Ger S | Fr 2 Fr S | iv 5 m7 S
"""
_MINOR = """
i 0 m T | Cad 0 mc C | V 7 M D | V 7 7 D | iv 5 m S | iio 2 o S | iiø 2 h7 S | viio 11 o D | viio 11 o7 D | V 7 b9 D
VI 8 M V | VI 8 M7 V | III 3 M M | III 3 M7 M | III+ 3 + M | i 0 m7 T | iv 5 m7 S | v 7 m B | v 7 m7 B | VII 10 M B
I 0 M T | Cad 0 Mc C | IV 5 M S | IV 5 7 S | ii 2 m S | ii 2 m7 S | viø 9 h7 B | vio 9 o B | bII 1 M S | bII 1 M7 S
V+ 7 + D | V+ 7 +7 D | V 7 9 D | It 6 It S | Ger 6 Ger S | Fr 2 Fr S
"""
# degree to which the chord is applied, its interval above the tonic, the qualities on its fifth and leading note
_MAJOR_APPLIED = (
    "V 7 M,7,9 o,o7,h7 | ii 2 M,7,b9 o,o7 | vi 9 M,7 o,o7 | iii 4 M,7 o,o7 | IV 5 7,+,+7 o,o7 | vii 11 - o,o7"
)
_MINOR_APPLIED = "V 7 M,7 o,o7 | iv 5 7,b9 o,o7 | III 3 7 o7 | VI 8 7 o,o7 | VII 10 7 o | bII 1 7 -"


def _degrees(plain: str, applied: str) -> tuple[Degree, ...]:
    found: list[Degree] = []
    for entry in plain.replace("\n", " | ").split("|"):
        if entry.strip():
            name, interval, quality, function = entry.split()
            found.append(Degree(name, int(interval), _Q[_SHORT[quality]], _FUNCTION[function]))
    for entry in applied.split("|"):
        target, goal, on_fifth, on_leading = entry.split()
        for numeral, above, qualities in (("V", 7, on_fifth), ("vii", 11, on_leading)):
            for quality in qualities.split(",") if qualities != "-" else ():
                root = (int(goal) + above) % 12
                if not any((d.interval, d.quality) == (root, _Q[_SHORT[quality]]) for d in found):
                    sign = {"o": "o", "o7": "o", "h7": "ø", "+": "+", "+7": "+"}.get(quality, "")
                    degree = f"{numeral}{sign}/{target}"
                    found.append(Degree(degree, root, _Q[_SHORT[quality]], "applied", int(goal)))
    return tuple(found)


MAJOR = _degrees(_MAJOR, _MAJOR_APPLIED)
MINOR = _degrees(_MINOR, _MINOR_APPLIED)
MODES = (MAJOR, MINOR)
WIDTH = max(len(MAJOR), len(MINOR))
KEYS = tuple(product(range(2), range(12)))
"""Every key as mode (0 major, 1 minor) and tonic: key number ``12 * mode + tonic``."""
SCALES = ((0, 2, 4, 5, 7, 9, 11), (0, 2, 3, 5, 7, 8, 9, 10, 11))


def state_chords() -> Ints:
    """The chord of each state: 24 keys by ``WIDTH`` degrees, -1 beyond a mode's last degree."""
    table = np.full((24, WIDTH), -1, dtype=np.int64)
    for mode, tonic in KEYS:
        for column, degree in enumerate(MODES[mode]):
            table[12 * mode + tonic, column] = 12 * degree.quality + (tonic + degree.interval) % 12
    return table
