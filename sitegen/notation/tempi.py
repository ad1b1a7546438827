"""Tempo marks as an editor prints them: words with the figure that the score prints, each figure once."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from music21 import note, tempo

from sitegen.notation.durations import duration_of
from sitegen.score import Tempo

# a figure within the words, and the mark that announces one (Maelzel's metronome), are said by the figure itself
_FIGURE = re.compile(r"[^\w=]*=.*$")
_MAELZEL = re.compile(r"[\s(,]*\bM\.\s?M\.?[\s)]*$")


def tempi_said(tempi: Sequence[Tempo]) -> tuple[Tempo, ...]:
    """The tempi that are to be written: of several at one place the one with words, and none that changes nothing."""
    said: list[Tempo] = []
    for mark in tempi:
        before = said[-1] if said else None
        if before is not None and not _words(mark.text):
            if mark.quarters_a_minute in (0, before.quarters_a_minute):
                continue
            if mark.onset == before.onset and not before.quarters_a_minute:
                said[-1] = replace(mark, text=before.text)
                continue
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
