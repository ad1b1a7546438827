"""What a commentary says of notes, as a program can check it.

**For authors.** Every sentence that names notes is held against the music:

- A *note* is a capital letter from A to G, alone or with ``flat``, ``sharp`` or ``natural`` behind it: ``B flat``,
  ``the C sharps``, ``F``. In any octave. A letter alone is the natural note, whatever the key signature says. A letter
  before ``major`` or ``minor`` names a key or a chord, and ``A`` at the beginning of a sentence is the article.
- *Bars* are ``bar 5``, ``bars 5-8``, ``bars 5 to 8``, ``from bar 5 to bar 8``, ``bars 2, 6 and 10``, and those of a
  link (``[hear it](bars:5-8)``). A sentence that names no bars speaks of all that its paragraph has named before it;
  one that has none before it either is not checked.
- Each note must be struck, or held on, in one of these bars: in the score, or, in a paragraph that begins with the
  title of a stage (``**Bass line.**``) and in the caption of an excerpt that shows a stage, in that stage.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

_NUMBERS = r"\d+(?:\s*(?:-|–|to|and|or|,)\s*(?:bar )?\d+)*"
_BARS = re.compile(rf"\b[Bb]ars? ({_NUMBERS})")
_PART = re.compile(r"(\d+)|(-|–|to\b)")
_NOTE = re.compile(
    r"(?<![\w.*'’&])([A-G])(?: (flat|sharp|natural)s?\b)?"
    r"(?![\w'’]|\.\w|\. [a-z0-9])(?! (?:flat |sharp )?(?:major|minor)\b)"
)
_LINK = re.compile(r"(!?)\[([^\]]*)\]\(bars?:(\d+)(?:[-–](\d+))?(?:/([^)]*))?\)")
_OTHER_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")
_LEAD = re.compile(r"\*\*([^*]+?)[.:]?\*\*")
_SENTENCE = re.compile(r"(?<=[.!?])[*\")]*\s+(?=[\"*(\[]*[A-Z])")
_SIGNS = {"flat": "b", "sharp": "#", "natural": "", None: ""}


@dataclass(frozen=True)
class Claim:
    """Notes (``Bb``, without an octave) that a sentence says are in some bars, by their printed numbers; ``stage`` is
    what it calls the stage it speaks of, empty for the score."""

    sentence: str
    bars: frozenset[int]
    notes: tuple[str, ...]
    stage: str = ""


def claims(commentary: str) -> Iterator[Claim]:
    """All that can be checked in a commentary, in order."""
    for paragraph in re.split(r"\n\s*\n|\n(?=\|)|\n(?=#)", commentary):
        yield from _of_paragraph(" ".join(paragraph.split()))


def _of_paragraph(text: str) -> Iterator[Claim]:
    for image, words, first, last, stage in _LINK.findall(text):
        notes = _notes(words)
        if image and notes:
            yield Claim(words, frozenset(range(int(first), int(last or first) + 1)), notes, stage)
    lead = _LEAD.match(text)
    stage = lead[1].casefold() if lead else ""
    text = _LINK.sub(lambda link: "" if link[1] else f"{link[2]} (bars {link[3]}-{link[4] or link[3]})", text)
    text = _OTHER_LINK.sub(r"\1", text)
    before: set[int] = set()
    for sentence in _SENTENCE.split(text):
        own = named_bars(sentence)
        before |= own
        notes = _notes(sentence)
        if notes and before:
            yield Claim(sentence, frozenset(own or before), notes, stage)


def named_bars(sentence: str) -> set[int]:
    """The bars that a sentence names."""
    found: set[int] = set()
    for match in _BARS.finditer(sentence):
        ranged, last = False, 0
        for number, to in _PART.findall(match[1]):
            if to:
                ranged = True
                continue
            found.update(range(last, int(number)) if ranged else ())
            last, ranged = int(number), False
            found.add(last)
    return found


def _notes(sentence: str) -> tuple[str, ...]:
    plain = re.sub(r"^[\W_]*A(?= [a-z])(?! (?:flat|sharp|natural))", "", sentence)
    return tuple(dict.fromkeys(letter + _SIGNS[sign or None] for letter, sign in _NOTE.findall(plain)))
