"""Which notes of a rhythm one beam joins in a metre, as music21 knows it."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from music21 import beam, duration, meter, note

from sitegen.notation.values import Value

Beams = tuple[str, ...]
"""For each level of beams at a note a word of MusicXML; empty for a note with a flag or without."""

_WORDS = {
    ("start", None): "begin", ("continue", None): "continue", ("stop", None): "end",
    ("partial", "left"): "backward hook", ("partial", "right"): "forward hook",
}  # fmt: skip


@lru_cache(maxsize=4096)
def beams_by_metre(
    signature: str, lead: int, rhythm: tuple[tuple[int, Value, bool], ...], quarter: int
) -> tuple[Beams, ...]:
    """The beams of notes and rests that follow each other from ``lead`` on, each given as its length, its value and
    whether it sounds; ticks, of which ``quarter`` make a quarter note. Most bars of a piece have the rhythm of others,
    and working it out takes longer than all else that is written of a bar."""
    shape: list[note.GeneralNote] = []
    for length, value, sounds in rhythm:
        shape.append(note.Note() if sounds else note.Rest())
        shape[-1].duration = _duration(Fraction(length, quarter), value)
    found = _signature(signature).getBeams(shape, measureStartOffset=Fraction(lead, quarter))
    return tuple(_words(beams) for beams in found)


@lru_cache(maxsize=64)
def _signature(signature: str) -> meter.TimeSignature:
    return meter.TimeSignature(signature)


def _words(beams: beam.Beams | None) -> Beams:
    return () if beams is None else tuple(_WORDS[b.type, b.direction] for b in beams.beamsList)


def _duration(length: Fraction, value: Value) -> duration.Duration:
    found = duration.Duration(type=value.type, dots=value.dots)
    if value.splinter:
        found.linked = False
        found.quarterLength = length
    elif value.actual > 1:
        found.appendTuplet(duration.Tuplet(value.actual, value.normal))
    return found
