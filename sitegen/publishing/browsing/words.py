"""The words by which a piece is found, and how words are taken as alike: small letters, accents folded.

The pages fold what is typed by the same rule (``themes/base/src/shelf/words.js``). There are no stems: a word is
found by its beginning, so that ``waltz`` finds ``waltzes`` in every language, while it is typed too.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from html import unescape

from sitegen.publishing.messages import Catalogue
from sitegen.publishing.nouns import PiecePage
from sitegen.publishing.spelling import key_in_words

#: How near to a piece a word stands, the nearest first: what it is called, what it is, what is told about it.
NEARNESS = ("called", "is", "told")
LONGEST = 40
"""Letters of a word that are kept; what is longer is no word."""

_WORD = re.compile(r"[^\W_]+")
_TAG = re.compile(r"<[^>]*>")
_SIGNS = {"♯": " sharp ", "♭": " flat ", "ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d"}


def words_in(text: str) -> list[str]:
    """The words of a text as they are looked for."""
    return [word[:LONGEST] for word in _WORD.findall(_folded(text.lower()))]


def _folded(text: str) -> str:
    if text.isascii():
        return text
    plain = unicodedata.normalize("NFKD", "".join(_SIGNS.get(sign, sign) for sign in text))
    return "".join(sign for sign in plain if unicodedata.category(sign)[0] != "M")


def words_of(piece: PiecePage, words: Catalogue) -> dict[str, list[str]]:
    """The words of a piece by their nearness, each once and where it stands nearest, in order of the alphabet; and its
    ``keys`` as one word each (``aflatmajor``), since "a" and "major" by themselves say nothing: they stand among the
    others too."""
    home = one_word(key_in_words(piece.key, words))
    touched = sorted({one_word(key_in_words(harmony.key, words)) for harmony in piece.harmonies} - {home})
    texts: dict[str, Iterable[str]] = {
        "called": [piece.title, piece.composer],
        "is": [
            home, key_in_words(piece.key, words), piece.level, piece.period, piece.summary, *piece.tags,
            piece.rights.editor, piece.rights.encoder, piece.library,
            *(words.word("texture", name) for name in piece.textures), *(passage.words for passage in piece.passages),
        ],
        "told": [
            *(stage.title for stage in piece.stages), *(stage.listen for stage in piece.stages),
            *touched, *(key_in_words(harmony.key, words) for harmony in piece.harmonies),
            piece.credit, unescape(_TAG.sub(" ", piece.commentary)),
        ],
    }  # fmt: skip
    found: dict[str, list[str]] = {}
    nearer: set[str] = set()
    for nearness in NEARNESS:
        new = {word for text in dict.fromkeys(texts[nearness]) for word in words_in(text)} - nearer
        found[nearness] = sorted(new)
        nearer |= new
    found["keys"] = sorted(key for key in (home, *touched) if key)
    return found


def one_word(key: str) -> str:
    """A key as it is looked for."""
    return "".join(words_in(key))
