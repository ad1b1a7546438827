"""When each drawn note sounds and each bar begins, from verovio's time map, with repeats unfolded."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sitegen.engraving.nouns import PlayedBar, PlayedNote, Timing

_PASS = re.compile(r"-rend\d+$")
_ROUNDED = 0.02  # quarters: so much two places of the map may differ from what was written
_TOLD_WITHIN = 0.01
_UNSAID = 120.0  # quarters a minute where a score gives no tempo
_ROLLED = 0.035  # seconds: a little more than lies between two notes of a rolled chord in the map
_JOINED = 0.0015  # seconds: a head that begins this soon after another ends goes on from it (the map is rounded)


def first_tempo(timemap: Sequence[Mapping[str, Any]]) -> float:
    """Quarters a minute at the start. The map names a tempo only where a note begins; before that, its times tell, in
    whole milliseconds."""
    named = next((float(e["tempo"]) for e in timemap if "tempo" in e), _UNSAID)
    later = next((e for e in timemap if e["tstamp"] > 0 and e["qstamp"] > 0), None)
    if later is None or "tempo" in timemap[0]:
        return named
    told = 60_000 * float(later["qstamp"]) / later["tstamp"]
    return named if abs(told / named - 1) < _TOLD_WITHIN else told


def read_timing(
    timemap: Sequence[Mapping[str, Any]],
    pitches: Mapping[str, int],
    noteheads: Mapping[str, Sequence[str]],
    order: Sequence[tuple[str, int]],
    bar_quarters: Sequence[float],
    stretch: float = 1.0,
) -> Timing:
    """The performance that a time map (milliseconds, quarters) describes; all times are multiplied by ``stretch``.

    ``pitches`` gives the MIDI number of each note id that counts; ``noteheads`` the ids of the heads of those that are
    tied: such a note sounds until the last of them ends. ``order`` lists the bars in the order they are played, each
    as measure id and index; ``bar_quarters`` the length of each bar by index. In a second pass verovio adds ``-rend2``
    to an id; the drawn note is the one without it.
    """
    clock = _Clock(timemap, stretch)
    bars = _bars(timemap, order, bar_quarters, clock)
    begins = [b.on for b in bars]
    notes = []
    for name, on, off in _sounding(timemap, pitches, noteheads, stretch):
        # a grace sounds before the bar line of the note it leads to, and belongs to the bar it sounds in
        bar = bars[max(0, bisect_right(begins, on + 1e-6) - 1)].bar if bars else 0
        notes.append(PlayedNote(name, on, off, pitches[name], bar))
    notes = sorted(_struck_once(notes, _ROLLED * stretch), key=lambda n: (n.on, n.midi, n.id))
    return Timing(tuple(notes), bars, bars[-1].off if bars else 0.0)


def _struck_once(notes: Sequence[PlayedNote], within: float) -> Iterator[PlayedNote]:
    """The notes, those of one key that a rolled chord has in two voices struck together. The map has them one after the
    other, the first of them by chance: in the order in which they lie in memory."""
    struck: dict[int, PlayedNote] = {}
    for note in sorted(notes, key=lambda n: (n.on, n.id)):
        before = struck.get(note.midi)
        if before is not None and note.on < before.off and 0 < note.on - before.on <= within:
            yield replace(note, on=before.on, bar=before.bar)
        else:
            struck[note.midi] = note
            yield note


def lasts_as_written(
    timemap: Sequence[Mapping[str, Any]], order: Sequence[tuple[str, int]], bar_quarters: Sequence[float]
) -> bool:
    """Whether the bars that the time map names lie as far apart as their lengths say, but for rounding."""
    return all(abs(start - expected) <= _ROUNDED for start, expected in _starts(timemap, order, bar_quarters))


def _starts(
    timemap: Sequence[Mapping[str, Any]], order: Sequence[tuple[str, int]], bar_quarters: Sequence[float]
) -> Iterator[tuple[float, float]]:
    """Where each bar played starts, in quarters, and where it would by the length of the one before.

    The time map names only bars in which something begins; the others follow by their length.
    """
    anchors = [(_PASS.sub("", e["measureOn"]), float(e["qstamp"])) for e in timemap if e.get("measureOn")]
    expected, next_anchor = 0.0, 0
    for name, index in order:
        start = expected
        if next_anchor < len(anchors) and anchors[next_anchor][0] == name:
            start = anchors[next_anchor][1]
            next_anchor += 1
        yield start, expected
        expected = start + bar_quarters[index]


def _sounding(
    timemap: Sequence[Mapping[str, Any]],
    pitches: Mapping[str, int],
    noteheads: Mapping[str, Sequence[str]],
    stretch: float,
) -> Iterator[tuple[str, float, float]]:
    """Every note with its first and last second. The time map takes tied heads for notes of their own; here they are
    joined where one goes on from another."""
    first = {head: name for name, heads in noteheads.items() for head in heads} | {name: name for name in pitches}
    began: dict[tuple[str, str], float] = {}
    ended: dict[tuple[str, str], float] = {}
    for entry in timemap:
        now = entry["tstamp"] / 1000 * stretch
        for key in [key for key, off in ended.items() if off < now - _JOINED * stretch]:
            yield key[0], began.pop(key), ended.pop(key)
        for name in entry.get("off", ()):
            key = _note_and_pass(name, first)
            if key in began:
                ended[key] = max(now, began[key])
        for name in entry.get("on", ()):
            key = _note_and_pass(name, first)
            if key[0] != _PASS.sub("", name) and key in ended:
                del ended[key]
            elif key[0] == _PASS.sub("", name) and key[0] in pitches:
                began[key] = now
    for key, off in ended.items():
        yield key[0], began[key], off


def _note_and_pass(name: str, first: Mapping[str, str]) -> tuple[str, str]:
    """The note that a head belongs to, and the pass in which it is played."""
    plain = _PASS.sub("", name)
    return first.get(plain, plain), name[len(plain) :]


class _Clock:
    """Seconds and tempo at a place counted in quarters from the start of the performance."""

    def __init__(self, timemap: Sequence[Mapping[str, Any]], stretch: float) -> None:
        self.places = [float(e["qstamp"]) for e in timemap]
        self.seconds = [e["tstamp"] / 1000 * stretch for e in timemap]
        tempo, self.tempi = first_tempo(timemap) / stretch, []
        for entry in timemap:
            tempo = float(entry["tempo"]) / stretch if "tempo" in entry else tempo
            self.tempi.append(tempo)

    def tempo_at(self, place: float) -> float:
        """Quarters a minute."""
        return self.tempi[max(0, bisect_right(self.places, place + 1e-6) - 1)] if self.tempi else _UNSAID

    def seconds_at(self, place: float) -> float:
        index = max(0, bisect_right(self.places, place + 1e-6) - 1)
        return self.seconds[index] + (place - self.places[index]) * 60 / self.tempi[index] if self.places else 0.0


def _bars(
    timemap: Sequence[Mapping[str, Any]],
    order: Sequence[tuple[str, int]],
    bar_quarters: Sequence[float],
    clock: _Clock,
) -> tuple[PlayedBar, ...]:
    """Every bar played."""
    starts = [start for start, _ in _starts(timemap, order, bar_quarters)]
    last = starts[-1] + bar_quarters[order[-1][1]] if order else 0.0
    ends = [*starts[1:], max(last, clock.places[-1] if clock.places else 0.0)]
    return tuple(
        PlayedBar(index, clock.seconds_at(start), clock.seconds_at(end), clock.tempo_at(start))
        for (_, index), start, end in zip(order, starts, ends, strict=True)
    )
