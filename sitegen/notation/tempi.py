"""Tempo marks as an editor prints them: words with the figure that the score prints, each figure once."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from itertools import zip_longest

from sitegen.notation.directions import bold, metronome
from sitegen.notation.written import Direction
from sitegen.score import Score, Tempo

# a figure within the words, and the mark that announces one (Maelzel's metronome), are said by the figure itself
_FIGURE = re.compile(r"[^\w=]*=.*$")
_MAELZEL = re.compile(r"[\s(,]*\bM\.\s?M\.?[\s)]*$")


def tempi_said(score: Score) -> tuple[Tempo, ...]:
    """The tempi that are to be written: of several at one place the one with words, and none that changes nothing.
    A figure alone that holds for less than a bar only sounds: so a program slows down; an editor says it in words."""
    said: list[Tempo] = []
    for mark, following in zip_longest(score.tempi, score.tempi[1:]):
        before = said[-1] if said else None
        if before is not None and not _words(mark.text):
            if mark.quarters_a_minute in (0, before.quarters_a_minute):
                continue
            if mark.onset == before.onset and not before.quarters_a_minute:
                said[-1] = replace(mark, text=before.text)
                continue
            bar = score.bar_at(mark.onset)
            if following is not None and mark.onset < following.onset < mark.onset + bar.end - bar.onset:
                mark = replace(mark, figure=0.0)
        said.append(mark)
    return tuple(said)


def tempo_mark(mark: Tempo, beat: Fraction, staff: int) -> Direction:
    """A tempo in words, figures or both; the figure counts felt beats of ``beat`` quarters (dotted ones in compound
    metres). What is not printed only sounds."""
    shown = mark.quarters_a_minute if mark.figure is None else mark.figure
    types = bold(_words(mark.text))
    if shown and mark.quarters_a_minute:
        types += metronome(beat, _beats(shown, beat))
    return Direction(
        types, staff, "above" if _words(mark.text) else "", float(_beats(mark.quarters_a_minute, beat) * beat)
    )


def _beats(quarters: float, beat: Fraction) -> int:
    """How many felt beats a minute so many quarters are."""
    return round(quarters / float(beat))


def _words(text: str) -> str:
    return _MAELZEL.sub("", _FIGURE.sub("", text).strip())
