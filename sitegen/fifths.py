"""The letters of notes: by height, and along the line of fifths (C = 0, G = 1, F = -1), where no spelling is lost."""

from __future__ import annotations

LETTERS = "CDEFGAB"
"""The letters of an octave, from below."""
ALONG = "FCGDAEB"
"""The letters along the line of fifths, from -1 on: the order in which sharps come to a signature; flats come the other
way."""


def spelled(fifths: int) -> str:
    """The letter and accidentals of a place on the line of fifths: 0 is ``C``, 6 ``F#``, -2 ``Bb``."""
    signs, step = divmod(fifths + 1, 7)
    return ALONG[step] + ("#" * signs if signs > 0 else "b" * -signs)


def fifths_of(name: str) -> int:
    """The inverse of ``spelled``."""
    return ALONG.index(name[0]) - 1 + 7 * (name.count("#") - name[1:].count("b"))


def signature_alter(step: str, fifths: int) -> int:
    """How the key signature of ``fifths`` sharps (flats below 0) alters the letter ``step``, in semitones."""
    if fifths >= 0:
        return sum(1 for i in range(fifths) if ALONG[i % 7] == step)
    return -sum(1 for i in range(-fifths) if ALONG[::-1][i % 7] == step)
