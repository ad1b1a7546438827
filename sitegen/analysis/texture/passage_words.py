"""A passage in the words of the trade: ``melody over an Alberti bass``.

English with ``{named}`` places, by how the hands stand to each other. What a hand does by
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


def places_of(passage: Passage) -> dict[str, tuple[Group, str]]:
    """What stands in the places of a passage's sentence: the group of words that it belongs to, and the word."""
    by_itself = {**DOES, **(BOTH if passage.together in ("alike", "left alone") else {})}
    voices = len(passage.counterpoint.voices) if passage.counterpoint else 0
    return {
        "right": ("hand", by_itself.get(passage.right, passage.right)),
        "left": ("hand", by_itself.get(passage.left, passage.left)),
        "below": ("accompaniment", ACCOMPANIES.get(passage.left, passage.left)),
        "above": ("accompaniment", ACCOMPANIES.get(passage.right, passage.right)),
        "voices": ("number", NUMBERS.get(voices, str(voices))),
    }


def in_words(passage: Passage) -> str:
    """What the hands do in a passage, in English."""
    return SENTENCES[passage.together].format(**{name: word for name, (_, word) in places_of(passage).items()})
