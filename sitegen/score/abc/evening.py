"""Bars of an ABC tune in which not all voices are as long as the longest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from sitegen.score.abc.voices import AbcBar, AbcChange, AbcEvent, AbcVoice
from sitegen.score.oddities import Oddities


def even_out(voices: Sequence[AbcVoice], odd: Oddities) -> None:
    """Make rests of a whole bar as long as the bar is in the other voices, and say where a voice is shorter than it."""
    if not voices:
        return
    bars = len(voices[0].bars)
    upbeat = bars > 0 and 0 < max(v.bars[0].length for v in voices) < voices[0].opening[1].quarters
    for index in range(bars):
        together = [voice.bars[index] for voice in voices]
        played = [bar.length for bar in together if not _rests(bar)]
        longest = max(played, default=max(bar.length for bar in together))
        for bar in together:
            if _rests(bar) and bar.length != longest:
                bar.layers[0][:] = [_as_long(event, longest) for event in bar.layers[0]]
        lengths = [_length(layer) for bar in together for layer in bar.layers if layer]
        if any(length < longest for length in lengths):
            odd.add(
                f"bar {index + (0 if upbeat else 1)}",
                "a voice is shorter than the others; it is silent to the end of the bar",
                "Write the notes or rests that it lacks.",
            )


def _rests(bar: AbcBar) -> bool:
    """Whether a bar is one rest for the whole of it."""
    events = [event for layer in bar.layers for event in layer if isinstance(event, AbcEvent)]
    return len(events) == 1 and events[0].whole_bar


def _as_long(event: AbcEvent | AbcChange, length: Fraction) -> AbcEvent | AbcChange:
    return replace(event, written=length) if isinstance(event, AbcEvent) else event


def _length(layer: Sequence[AbcEvent | AbcChange]) -> Fraction:
    return sum((event.length for event in layer if isinstance(event, AbcEvent)), Fraction(0))
