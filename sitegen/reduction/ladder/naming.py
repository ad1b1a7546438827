"""Slugs: the lasting names of stages, which are safe in a URL and in an XML id.

A stage is named after its technique and its stretch of bars, never after its title, which may change.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import chain, count, product
from pathlib import PurePath

from sitegen.errors import located
from sitegen.places.finding import find_spot
from sitegen.places.parsing import parse_bars
from sitegen.places.printing import place_of_bars
from sitegen.places.stages import StageName, place_of
from sitegen.reduction.techniques import slug_of
from sitegen.reduction.wishes import StageWish
from sitegen.score import Score

_LETTERS = "abcdefghijklmnopqrstuvwxyz"


def unused(slug: str, taken: set[str]) -> str:
    """``slug``, with a number behind it if it is among ``taken``, to which it is added."""
    number, name = 1, slug
    while name in taken:
        number += 1
        name = f"{slug}-{number}"
    taken.add(name)
    return name


def note_codes(slugs: Iterable[str], score: Score) -> dict[str, str]:
    """The letters with which the ids of a stage's notes begin, by its slug: the initials of its words (``bl`` for
    ``bass-line``), with a letter more where another stage has them or an id of the score begins so."""
    taken = {re.sub(r"\d+$", "", head.id) for note in score.notes for head in note.noteheads}
    codes: dict[str, str] = {}
    # in an order of their own, so that a stage put in before them changes no other's
    for slug in sorted(slugs):
        words = re.findall(r"[a-z]+", slug)
        plain = "".join(word[0] for word in words) if len(words) > 1 else words[0][:2]
        tried = chain(
            [plain], (plain + more for size in count(1) for more in map("".join, product(_LETTERS, repeat=size)))
        )
        codes[slug] = next(code for code in tried if code not in taken)
        taken.add(codes[slug])
    return codes


def lasting_names(score: Score, stages: Sequence[StageWish], file: str) -> tuple[str, ...]:
    """The lasting name of each stage of a teacher's list: ``outer-voices``, ``outer-voices-bars-1-8``,
    ``outer-voices-2`` for a second one alike; ``left-hand-alone-of-bass-line`` for a hand of another; her own score's
    by its file.

    Raises ``ContentError`` for bars that the score does not have.
    """
    taken = {slug_of("as written")}
    names: dict[int, str] = {}
    for place, wish in enumerate(stages):
        if not wish.of:
            words = wish.technique or PurePath(wish.file).stem
            own = words == "as written"
            names[place] = slug_of(words) if own else unused(slug_of(words + _stretch(score, wish, file)), taken)
    whole = [StageName(names[place], (stages[place].title or stages[place].technique,), (stages[place].technique,))
             for place in names]  # fmt: skip
    for place, wish in enumerate(stages):
        if wish.of:
            words = f"{wish.technique} of {lasting_name(wish.of, whole)}{_stretch(score, wish, file)}"
            names[place] = unused(slug_of(words), taken)
    return tuple(names[place] for place in range(len(stages)))


def lasting_name(text: str, known: Sequence[StageName]) -> str:
    """The lasting name of the stage that ``text`` means among ``known``; ``text`` itself where it means none."""
    place = place_of(text, known)
    return text if place is None else known[place].name


def _stretch(score: Score, wish: StageWish, file: str) -> str:
    if not wish.bars:
        return ""
    with located(file, wish.line):
        spot = find_spot(score, parse_bars(wish.bars))
    return f" {place_of_bars(score, spot.onset, spot.end)}"
