"""A performance at another tempo: the same notes, faster or slower throughout."""

from __future__ import annotations

from dataclasses import replace

from sitegen.engraving.nouns import Performance

SLOWEST, FASTEST = 0.2, 4.0  # times the tempo of the text
_SET_TEMPO = b"\xff\x51\x03"  # the MIDI event; microseconds a quarter follow in three bytes (MIDI 1.0, "Set Tempo")
_LONGEST = 0xFFFFFF


def at_tempo(performance: Performance, quarters_a_minute: float) -> Performance:
    """The performance begun at ``quarters_a_minute``; all its other tempi keep their relation to the first."""
    factor = min(FASTEST, max(SLOWEST, quarters_a_minute / performance.quarters_a_minute))
    timing = performance.timing
    notes = tuple(replace(n, on=n.on / factor, off=n.off / factor) for n in timing.notes)
    bars = tuple(
        replace(b, on=b.on / factor, off=b.off / factor, beats_a_minute=b.beats_a_minute * factor) for b in timing.bars
    )
    return replace(
        performance,
        timing=replace(timing, notes=notes, bars=bars, length=timing.length / factor),
        midi=_faster(performance.midi, factor),
        quarters_a_minute=performance.quarters_a_minute * factor,
    )


def _faster(midi: bytes, factor: float) -> bytes:
    """The MIDI file with each of its tempi multiplied."""
    data = bytearray(midi)
    place = data.find(_SET_TEMPO)
    while place >= 0:
        at = place + len(_SET_TEMPO)
        lasts = int.from_bytes(data[at : at + 3], "big")
        data[at : at + 3] = min(_LONGEST, round(lasts / factor)).to_bytes(3, "big")
        place = data.find(_SET_TEMPO, at + 3)
    return bytes(data)
