"""Bars in which an octave sign begins or ends among several voices, put in the order in which programs read it.

An octave sign is taken to move what stands between its two ends in the file, whichever voice that is in. Voices written
one after the other would put notes from before its beginning, and from after its end, between them. There the voices of
its staff are written stretch by stretch: what all have before it, what all have under it, the rest. What is struck last
under it stands last, so that it is drawn as far as that.

Source: the MusicXML 4.0 specification (W3C Music Notation Community Group), elements ``backup`` and ``forward``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from sitegen.notation.written import Item, Leap, Written
from sitegen.score import Score, Sign

Placed = tuple[int, Item]
"""What stands in a bar, with its place in ticks from the bar line."""


def order_under_octave_signs(measures: Sequence[list[Item]], score: Score, signs: Iterable[Sign]) -> None:
    """Amend the measures of a score, whose voices fill their bars exactly."""
    ordered: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for sign in signs:
        for bar in score.bars[score.bar_at(sign.onset).index :]:
            if bar.onset >= sign.end:
                break
            ordered.setdefault((bar.index, sign.staff), []).append((sign.onset - bar.onset, sign.end - bar.onset))
    for (index, staff), places in ordered.items():
        _order(measures[index], staff, places)


def _order(measure: list[Item], staff: int, signs: list[tuple[int, int]]) -> None:
    """Write the voices of a staff, which stand next to each other in the bar, stretch by stretch; ``signs`` are the
    places from and to which octave signs hold."""
    voices = [voice for voice in _voices(measure) if _staff(voice) == staff]
    if len(voices) < 2:
        return
    length = max(at + _length(item) for voice in voices for at, item in voice)
    struck = [at for voice in voices for at, item in voice if isinstance(item, Written) and item.heads]
    cuts = {place for sign in signs for place in sign if 0 < place < length}
    cuts |= {max((at for at in struck if start <= at < end), default=0) for start, end in signs if end <= length}
    if not cuts - {0}:
        return
    first, last = (next(k for k, i in enumerate(measure) if i is end) for end in (voices[0][0][1], voices[-1][-1][1]))
    at, new = 0, list[Item]()
    for start, end in pairwise(sorted({0, length + 1, *cuts})):
        parts = [part for voice in voices if (part := [item for item in voice if start <= item[0] < end])]
        for part in sorted(parts, key=lambda part: part[0][0] if start else 0):
            new += _leap(at, part[0][0]) if new else ()
            new += [item for _, item in part]
            at = max(place + _length(item) for place, item in part)
    new += _leap(at, length) if at < length else ()
    measure[first : last + 1] = new


def _voices(measure: Iterable[Item]) -> list[list[Placed]]:
    """What stands between the places at which the file goes back in the bar."""
    voices: list[list[Placed]] = [[]]
    at = 0
    for item in measure:
        if isinstance(item, Leap) and item.ticks < 0:
            at += item.ticks
            voices.append([])
            continue
        voices[-1].append((at, item))
        at += _length(item)
    return [voice for voice in voices if voice]


def _staff(voice: Iterable[Placed]) -> int:
    return next((item.staff or 1 for _, item in voice if isinstance(item, Written)), 0)


def _length(item: Item) -> int:
    return item.length if isinstance(item, Written) else item.ticks if isinstance(item, Leap) else 0


def _leap(start: int, to: int) -> list[Item]:
    """From one place of a bar to another, always by a step back: programs look for another voice behind one."""
    steps = (-start, to) if start <= to else (to - start,)
    return [Leap(ticks) for ticks in steps if ticks]
