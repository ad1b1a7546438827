"""The qualities of chords, each one row: its tones, its sign behind a numeral, its figures and its lead-sheet symbol.

What has no textbook sign (added and missing tones) is written in brackets as RomanText does (Tymoczko, Gotham, Cuthbert
and Ariza, "The RomanText Format", ISMIR 2019). Augmented sixths are rooted, as in figured-bass practice, on their
raised note: Italian and German on the raised fourth degree, French on the second (Aldwell and Schachter, Harmony and
Voice Leading, ch. 30, for what they hold).
"""

from __future__ import annotations

from dataclasses import dataclass

_STEPS = {0: 1, 1: 5, 2: 9, 4: 3, 5: 7, 6: 4}
"""The step above the root by its place on the line of fifths, whatever its accidental."""


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

    @property
    def steps(self) -> tuple[int, ...]:
        """What each of ``fifths`` is in the chord: 1 its root, 3 its third ..., 9 its ninth; 4 a fourth."""
        return tuple(_STEPS[fifth % 7] for fifth in self.fifths)


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
