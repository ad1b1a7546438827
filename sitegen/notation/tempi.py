"""Tempo marks as an editor prints them: words with the figure that the score prints, each figure once."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from itertools import zip_longest

from music21 import note, tempo

from sitegen.notation.durations import duration_of
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


def tempo_mark(mark: Tempo, beat: Fraction) -> tempo.TempoIndication:
    """A tempo in words, figures or both; the figure counts felt beats of ``beat`` quarters (dotted ones in compound
    metres). What is not printed only sounds."""
    words = _words(mark.text)
    shown = mark.quarters_a_minute if mark.figure is None else mark.figure
    if not mark.quarters_a_minute:
        return tempo.TempoText(words)
    referent = note.Note()
    referent.duration = duration_of(beat)
    sounding = round(mark.quarters_a_minute / float(beat))
    found = tempo.MetronomeMark(words or None, round(shown / float(beat)) if shown else sounding, referent)
    if not shown:
        found.numberImplicit = True
    elif round(shown / float(beat)) != sounding:
        found.numberSounding = sounding
    return found


def _words(text: str) -> str:
    return _MAELZEL.sub("", _FIGURE.sub("", text).strip())
