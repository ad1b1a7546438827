"""How pitches, keys and places in the bar are said on a page."""

from __future__ import annotations

import re
from fractions import Fraction

from sitegen.publishing.messages import Catalogue
from sitegen.publishing.nouns import BarInfo

_SIGNS = {"#": "♯", "b": "♭", "x": "𝄪"}
_PITCH = re.compile(r"^([A-Ga-g])(#{1,3}|b{1,3}|x)?(-?\d+)?$")
_TYPED = re.compile(r"\b([A-G])(#{1,2}|b{1,2})(?![A-Za-z#])")
_VULGAR = {Fraction(1, 2): "½", Fraction(1, 4): "¼", Fraction(3, 4): "¾", Fraction(1, 3): "⅓", Fraction(2, 3): "⅔"}


def pitch_in_words(pitch: str, words: Catalogue) -> str:
    """``Bb3`` as ``B♭3`` (English) or as the language of the catalogue names it; other texts unchanged."""
    match = _PITCH.match(pitch)
    if match is None:
        return pitch
    letter, signs, octave = match.group(1), match.group(2) or "", match.group(3) or ""
    name = words.word("pitch", letter.upper() + signs)
    if name == letter.upper() + signs:
        name = letter.upper() + "".join(_SIGNS[sign] for sign in signs)
    return name + octave


def with_printed_signs(text: str) -> str:
    """A sentence in which pitches are typed (``F#3``, ``Bb``), with the signs as they are printed."""
    return _TYPED.sub(lambda match: match[1] + "".join(_SIGNS[sign] for sign in match[2]), text)


def key_in_words(key: str, words: Catalogue) -> str:
    """``F# minor`` as the language says it; a text that is no key unchanged."""
    tonic, _, mode = key.partition(" ")
    if mode not in {"major", "minor"} or _PITCH.match(tonic) is None:
        return key
    return words(f"key.{mode}", tonic=pitch_in_words(tonic, words))


def beat_in_words(bar: BarInfo, onset: Fraction) -> str:
    """The beat at ``onset`` (quarters from the start of the bar), counted from 1, with its fraction: ``2½``."""
    beats = (bar.lead + onset) / bar.beat
    whole = beats.numerator // beats.denominator
    rest = beats - whole
    if rest == 0:
        return str(whole + 1)
    return f"{whole + 1}{_VULGAR.get(rest, f'+{rest.numerator}/{rest.denominator}')}"
