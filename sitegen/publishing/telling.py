"""Sentences made elsewhere, in the language of the library: English with ``{named}`` places, and what stands in them.

A catalogue of another language has the sentence under its key; without one the English stands. What stands in a place
is told by its kind:

=======  =============================================================================================
kind     text
=======  =============================================================================================
word     a pitch (``F#4``, ``F sharp``), an English word of the group ``word``, or anything else, kept
chord    a lead-sheet symbol, told as a chord: ``the F♯ minor chord``; empty where there is none
symbol   a lead-sheet symbol, shown as one
key      a key: ``F sharp minor``
list     several things, as English lists them: ``2, 3 and 4``
pitches  several pitches: ``D, F#, A``
=======  =============================================================================================
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from sitegen.publishing.messages import Catalogue
from sitegen.publishing.spelling import key_called, pitch_in_words, small, symbol_in_words

FillingKind = Literal["word", "chord", "symbol", "key", "list", "pitches"]

_NAMED = re.compile(r"^([A-G]) ?((?:double )?(?:sharp|flat)|natural)?$")
_SIGNS = {None: "", "sharp": "#", "flat": "b", "double sharp": "##", "double flat": "bb"}
_CHORD = re.compile(r"^([A-G](?:#+|b+)?)([^/]*)")
_QUALITIES = {"": "major", "m": "minor", "dim": "diminished", "aug": "augmented"}


@dataclass(frozen=True, slots=True)
class Filling:
    """What stands in the place ``name`` of a sentence."""

    name: str
    text: str
    kind: FillingKind = "word"


def tell(words: Catalogue, key: str, english: str, places: tuple[Filling, ...] = ()) -> str:
    """The sentence called ``key`` in the language of ``words``."""
    told = {place.name: _told(words, place) for place in places}
    # a word may hold places itself, such as where a note is approached from
    told = {name: text.format(**told) for name, text in told.items()}
    return words.sentence(key, english, told)


def _told(words: Catalogue, place: Filling) -> str:
    if place.kind == "chord":
        return _chord(words, place.text)
    if place.kind == "symbol":
        return symbol_in_words(place.text, words)
    if place.kind == "key":
        tonic, _, mode = place.text.rpartition(" ")
        return key_called(_name(words, tonic), mode, words)
    if place.kind == "list":
        before, joint, last = place.text.rpartition(" and ")
        return words("list.last", before=before, last=last) if joint else last
    if place.kind == "pitches":
        *first, last = (pitch_in_words(pitch, words) for pitch in place.text.split(", "))
        return words("list.last", before=", ".join(first), last=last) if first else last
    if _NAMED.match(place.text):
        return _name(words, place.text)
    return pitch_in_words(words.word("word", place.text), words)


def _name(words: Catalogue, name: str) -> str:
    """A pitch without octave that is written in words, ``F sharp``: kept where the language has no name of its own."""
    match = _NAMED.match(name)
    if match is None:
        return name
    if match[2] == "natural":
        return words("pitch.natural", note=_name(words, match[1]))
    return words.messages.get(f"pitch.{match[1]}{_SIGNS[match[2]]}", name)


def _chord(words: Catalogue, symbol: str) -> str:
    match = _CHORD.match(symbol)
    if match is None:
        return words("chord.none")
    quality = _QUALITIES.get(match[2])
    root = pitch_in_words(match[1], words)
    if quality is None:
        return words("chord.other", chord=symbol_in_words(match[0], words))
    return words(f"chord.{quality}", root=root, small=small(root))
