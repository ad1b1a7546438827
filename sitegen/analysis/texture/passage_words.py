"""A passage in the words of the trade: ``melody over an Alberti bass``.

English with ``{named}`` places; a catalogue of another language has each sentence under its key. What a hand does by
itself and what it does under or over another are told by words of their own, for other languages decline them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from sitegen.analysis.nouns import Passage, Together
from sitegen.analysis.texture.table import TEXTURES

SENTENCES: Mapping[Together, str] = {
    "over": "{right} over {below}",
    "under": "melody in the left hand under {above}",
    "alike": "{right} in both hands",
    "one line": "both hands play one line",
    "right alone": "{right}, the right hand alone",
    "left alone": "{left}, the left hand alone",
    "counterpoint": "counterpoint in {voices} voices",
}

NUMBERS: Mapping[int, str] = {2: "two", 3: "three", 4: "four", 5: "five"}

# a hand by itself; one that the score does not have is not told of
DOES: Mapping[str, str] = {kind.name: kind.alone for kind in TEXTURES} | {"": "melody"}

# the same in both hands, or in a hand without a tune
BOTH: Mapping[str, str] = {kind.name: kind.both for kind in TEXTURES if kind.both}

# a hand that accompanies another
ACCOMPANIES: Mapping[str, str] = {kind.name: kind.below for kind in TEXTURES} | {"": "rests"}


Group = Literal["hand", "accompaniment", "number"]


def sentence_of(passage: Passage) -> tuple[str, dict[str, tuple[Group, str]]]:
    """The sentence of a passage, and what stands in its places: the group of words that it belongs to, and the word."""
    by_itself = {**DOES, **(BOTH if passage.together in ("alike", "left alone") else {})}
    voices = len(passage.counterpoint.voices) if passage.counterpoint else 0
    places: dict[str, tuple[Group, str]] = {
        "right": ("hand", by_itself.get(passage.right, passage.right)),
        "left": ("hand", by_itself.get(passage.left, passage.left)),
        "below": ("accompaniment", ACCOMPANIES.get(passage.left, passage.left)),
        "above": ("accompaniment", ACCOMPANIES.get(passage.right, passage.right)),
        "voices": ("number", NUMBERS.get(voices, str(voices))),
    }
    return SENTENCES[passage.together], places


def in_words(passage: Passage) -> str:
    """What the hands do in a passage, in English."""
    sentence, places = sentence_of(passage)
    return sentence.format(**{name: word for name, (_, word) in places.items()})
