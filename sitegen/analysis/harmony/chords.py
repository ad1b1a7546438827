"""The chords that can be heard, and what each is called in a key.

A *quality* is a set of intervals above the root (a row of ``chords.qualities``, whose roots of augmented sixths are
those of the annotations' standard); a *chord* a quality on one of twelve roots; a *degree* a chord as a key hears it.
``cadential`` qualities are the tonic triad as a six-four over the dominant's bass: they look like the tonic and behave
like the dominant.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
import numpy.typing as npt

from sitegen.analysis.chords import QUALITIES as CALLED

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class HeardQuality:
    """Intervals above the root in semitones, rising, and as spelled: steps along the line of fifths from the root.

    ``family`` names the row of weights that its tones share, ``roles`` what each tone is in it.
    """

    name: str
    tones: tuple[int, ...]
    fifths: tuple[int, ...]
    family: str
    roles: str


# a chord's quality as ``chords.qualities`` has it, with ``c`` where it is cadential; its name in words; its family
_HEARD = (
    ("M", "major", "triad"), ("m", "minor", "triad"),
    ("Mc", "cadential major", "cadential"), ("mc", "cadential minor", "cadential"),
    ("o", "diminished", "diminished"), ("+", "augmented", "diminished"),
    ("7", "dominant seventh", "dominant"), ("9", "dominant ninth", "dominant"),
    ("b9", "dominant minor ninth", "dominant"), ("+7", "augmented dominant seventh", "dominant"),
    ("m7", "minor seventh", "seventh"), ("M7", "major seventh", "seventh"),
    ("h7", "half-diminished seventh", "leading"), ("o7", "diminished seventh", "leading"),
    ("It", "Italian sixth", "sixth"), ("Ger", "German sixth", "sixth"), ("Fr", "French sixth", "sixth"),
)  # fmt: skip


def _heard(short: str, name: str, family: str) -> HeardQuality:
    [called] = [quality for quality in CALLED if quality.name == short.removesuffix("c")]
    rising = sorted(zip(called.fifths, called.steps, strict=True), key=lambda tone: tone[0] * 7 % 12)
    return HeardQuality(
        name,
        tuple(fifth * 7 % 12 for fifth, _ in rising),
        tuple(fifth for fifth, _ in rising),
        family,
        "".join(str(step) for _, step in rising),
    )


QUALITIES = tuple(_heard(*row) for row in _HEARD)
FAMILIES = ("triad", "cadential", "diminished", "dominant", "seventh", "leading", "sixth")
ROLES = (*(f"{family} {role}" for family in FAMILIES for role in ("1", "3", "5", "7", "9")), "foreign")
CHORDS = tuple((quality, root) for quality in range(len(QUALITIES)) for root in range(12))
INSIDE: Floats = np.array(
    [[(pc - root) % 12 in QUALITIES[q].tones for q, root in CHORDS] for pc in range(12)], dtype=np.float64
)
_Q = {short: i for i, (short, _, _) in enumerate(_HEARD)}


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
            found.append(Degree(name, int(interval), _Q[quality], _FUNCTION[function]))
    for entry in applied.split("|"):
        target, goal, on_fifth, on_leading = entry.split()
        for numeral, above, qualities in (("V", 7, on_fifth), ("vii", 11, on_leading)):
            for quality in qualities.split(",") if qualities != "-" else ():
                root = (int(goal) + above) % 12
                if not any((d.interval, d.quality) == (root, _Q[quality]) for d in found):
                    sign = {"o": "o", "o7": "o", "h7": "ø", "+": "+", "+7": "+"}.get(quality, "")
                    degree = f"{numeral}{sign}/{target}"
                    found.append(Degree(degree, root, _Q[quality], "applied", int(goal)))
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
