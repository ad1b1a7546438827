"""How pitches, keys and places in the bar are said on a page."""

from __future__ import annotations

import re
from fractions import Fraction
from math import gcd

from sitegen.publishing.messages import Catalogue
from sitegen.publishing.nouns import BarInfo
from sitegen.words import decimal_in

_SIGNS = {"#": "♯", "b": "♭", "x": "𝄪"}
_PITCH = re.compile(r"^([A-Ga-g])(#{1,3}|b{1,3}|x)?(-?\d+)?$")
_ROOT = re.compile(r"^([A-G])(#+|b+)?(.*)$")
_KINDS_OF_VALUE = {
    "": Fraction(1),
    "dotted": Fraction(3, 2),
    "double-dotted": Fraction(7, 4),
    "triplet": Fraction(2, 3),
}
_VALUES = dict(
    sorted(
        {
            plain * factor: (kind, plain)
            for kind, factor in reversed(_KINDS_OF_VALUE.items())
            for plain in (Fraction(8) / 2**power for power in range(8))
        }.items(),
        reverse=True,
    )
)
"""Every duration in quarters that is written as one note, the longest first: its kind, and the plain value."""
_LOWERED = re.compile(r"(?:^|(?<=[/ ]))b")
_VULGAR = {(1, 2): "½", (1, 4): "¼", (3, 4): "¾", (1, 3): "⅓", (2, 3): "⅔"}


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


def symbol_in_words(symbol: str, words: Catalogue) -> str:
    """A lead-sheet symbol with printed signs, its letters as the language has them: ``Bbm7/F`` is ``B♭m7/F``."""
    return "/".join(_ROOT.sub(lambda root: _root(root, words), part) for part in symbol.split("/"))


def _root(match: re.Match[str], words: Catalogue) -> str:
    """Root or bass of a symbol. German has letters of its own for ``B`` and ``Bb``; all else is international."""
    root, rest = match[1] + (match[2] or ""), match[3]
    name = words.word("symbol", root)
    if name == root:
        name = match[1] + "".join(_SIGNS[sign] for sign in match[2] or "")
    return name + rest.replace("#", "♯").replace("b", "♭")


def numeral_in_words(numeral: str) -> str:
    """A Roman numeral with printed signs: ``bII6`` is ``♭II6``, ``V7/bVI`` is ``V7/♭VI``."""
    return _LOWERED.sub("♭", numeral).replace("#", "♯")


def decimal_in_words(value: float, words: Catalogue) -> str:
    """A number with one decimal, as the language writes it: ``3.8``, ``3,8``."""
    return decimal_in(words.language, value)


def key_in_words(key: str, words: Catalogue) -> str:
    """``F# minor`` as the language says it; a text that is no key unchanged."""
    tonic, _, mode = key.rpartition(" ")
    if mode not in {"major", "minor"} or not tonic:
        return key
    return key_called(pitch_in_words(tonic, words), mode, words)


def key_called(tonic: str, mode: str, words: Catalogue) -> str:
    """The key of a ``tonic`` that is in the language already; ``mode`` is ``major`` or ``minor``."""
    return words(f"key.{mode}", tonic=tonic, small=small(tonic))


def small(name: str) -> str:
    """A pitch's name with a small letter, as German has it for what is minor."""
    return name[:1].lower() + name[1:]


def beat_in_words(bar: BarInfo, onset: Fraction) -> str:
    """The beat at ``onset`` (quarters from the start of the bar), counted from 1, with its fraction: ``2½``."""
    (lead, of_lead), (at, of_at), (beat, of_beat) = (
        (length.numerator, length.denominator) for length in (bar.lead, onset, bar.beat)
    )
    # whole numbers: it is asked for every note of every stage
    beats, of_beats = (lead * of_at + at * of_lead) * of_beat, of_lead * of_at * beat
    whole, rest = divmod(beats, of_beats)
    if rest == 0:
        return str(whole + 1)
    common = gcd(rest, of_beats)
    part = rest // common, of_beats // common
    return f"{whole + 1}{_VULGAR.get(part) or f'+{part[0]}/{part[1]}'}"


def span_in_words(semitones: int, words: Catalogue) -> str:
    """A stretch of the hand by its interval, as pianists tell it: ``a tenth`` for 15 semitones and for 16, since major
    and minor ask the same of a hand; the two words of a tritone would say more than it."""
    return words.word("span", str(semitones), words("span.more"))


def value_in_words(duration: Fraction, words: Catalogue) -> str:
    """A duration in quarters as note values: ``dotted crotchet``, ``dotted quarter note``; ``crotchet tied to quaver``
    where no one value lasts so long, and nothing where even two do not.
    """
    if duration == 0:
        return words("value.grace")
    if duration in _VALUES:
        return _value(duration, words)
    longest = next((value for value in _VALUES if value < duration), None)
    if longest is None or duration - longest not in _VALUES:
        return ""
    return words("value.tied", first=_value(longest, words), second=_value(duration - longest, words))


def _value(duration: Fraction, words: Catalogue) -> str:
    kind, plain = _VALUES[duration]
    name = words(f"value.{plain}")
    return words(f"value.{kind}", value=name) if kind else name
