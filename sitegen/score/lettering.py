"""What the letters of a music font mean where a file has them among words: loudness, note values, accidentals.

They stand in Unicode's private area, where a font for words has nothing but an empty box.

Source: SMuFL 1.4 (W3C Music Notation Community Group), ranges "Dynamics", "Individual notes", "Metronome marks",
"Standard accidentals", "Fingering".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from sitegen.score.sign_nouns import Sign
from sitegen.score.tempo import WORDS

_DYNAMICS = dict(
    zip(
        map(chr, (*range(0xE520, 0xE53E),)),
        ("p", "m", "f", "r", "s", "z", "n", "pppppp", "ppppp", "pppp", "ppp", "pp", "mp", "mf", "pf", "ff", "fff",
         "ffff", "fffff", "ffffff", "fp", "fz", "sf", "sfp", "sfpp", "sfz", "sfzp", "sffz", "rf", "rfz"),
        strict=True,
    )
)  # fmt: skip
_OTHERS = {
    "\ue1d5": "♩", "\ue1d6": "♩", "\ue1d7": "♪", "\ue1d8": "♪", "\ue1e7": ".",
    "\ueca5": "♩", "\ueca6": "♩", "\ueca7": "♪", "\ueca8": "♪", "\uecb7": ".",
    "\ue260": "♭", "\ue261": "♮", "\ue262": "♯",
    "\ued10": "0", "\ued11": "1", "\ued12": "2", "\ued13": "3", "\ued14": "4", "\ued15": "5",
}  # fmt: skip
_PRIVATE = re.compile("[\ue000-\uf8ff]")
_LOUDNESS = re.compile(rf"[(\[]?\s*([{''.join(_DYNAMICS)}]+)\s*[)\]]?(.*)")
_TEMPO_WORD = re.compile(r"\b(" + "|".join(word for word, _ in WORDS) + r")\b", re.I)
#: Where a line ended before a capital letter.
_JOINT = re.compile(r"(?<=[a-zà-ÿ])(?=[A-Z][a-zà-ÿ])|(?<=[A-Z]{4})(?=[A-Z][a-zà-ÿ])")
#: Words in capitals before others: the name of a part.
_HEADING = re.compile(r"([^\Wa-z\d_]{4,})\W+(?=\w*[a-z])")


def in_letters(text: str) -> str:
    """The text with letters for those of a music font; what has none goes."""
    return " ".join(_PRIVATE.sub(lambda c: _DYNAMICS.get(c[0]) or _OTHERS.get(c[0], ""), text).split())


def told_in_letters(signs: Iterable[Sign]) -> Iterator[Sign]:
    """The signs with letters in their words; loudness that words begin with is a dynamic of its own."""
    for sign in signs:
        if not _PRIVATE.search(sign.text):
            yield sign
            continue
        loud = _LOUDNESS.fullmatch(sign.text)
        if loud is not None:
            yield replace(sign, kind="dynamic", text=in_letters(loud[1]))
        rest = in_letters(sign.text if loud is None else loud[2])
        if any(letter.isalnum() for letter in rest):
            yield replace(sign, kind=sign.kind if loud is None else "words", text=rest)


def joined(pieces: Iterable[str]) -> str:
    """The pieces of a text as one. What begins with a capital letter was a line of its own."""
    text = ""
    for piece in _lines(pieces):
        text += " " + piece if piece[:1].isupper() and text[-1:].isalpha() else piece
    return " ".join(text.split())


def _lines(pieces: Iterable[str]) -> list[str]:
    """The pieces, and those of them apart that were joined without a space between."""
    return [line for piece in pieces for line in _JOINT.split(piece)]


def tempo_in_words(pieces: Sequence[str]) -> str:
    """What a tempo mark says, empty where it has no word: a figure's rest or a dash is none. ``pieces`` are its parts
    of one type each; those before the one that begins with a word of tempo, and words in capitals before it, name the
    part of the work."""
    said = _lines(pieces)
    begins = (
        k for k, piece in enumerate(said) if (found := _TEMPO_WORD.match(piece.strip())) and found[0][0].isupper()
    )
    first = next(begins, 0)
    if not any(_TEMPO_WORD.search(piece) for piece in said[:first]):
        said = said[first:]
    text = in_letters(joined(said))
    while (name := _HEADING.match(text)) and not _TEMPO_WORD.search(name[1]):
        text = text[name.end() :]
    return text if any(letter.isalpha() for letter in text) else ""
