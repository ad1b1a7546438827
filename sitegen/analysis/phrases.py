"""Where phrases end, and how: the stretches in which a piece is practised.

Every bar line and every note of the top line after a pause may begin a phrase. For it speak a cadence just before, a
pause (long note, rest) that stands out from its neighbours (Cambouropoulos, "The local boundary detection model", ICMC
2001), a fermata, a repeat sign, and music that sets out like a phrase already heard (parallelism: GPR 6 of Lerdahl &
Jackendoff, 1983); against it a length far from four bars (Temperley, The Cognition of Basic Musical Structures, 2001,
ch. 3, whose search for the best division this follows). The weights are set by hand, not fitted.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sitegen.analysis.cadences import FIRMNESS, Cadence, cadence_at
from sitegen.analysis.metre import BEAT, beat_ticks, metrical_level
from sitegen.analysis.nouns import Harmony, NoteReading, Phrase
from sitegen.score import Bar, Note, Score

PAUSE, REST, FERMATA, REPEAT, PARALLEL, SLUR = 0.8, 0.4, 3.0, 1.2, 0.5, 0.2
USUAL_BARS, LENGTH, UNEVEN, BREAK_OFF_METRE = 4.0, 1.0, 0.4, 0.3
LEAST_BARS, MOST_BARS = 1.0, 12.0
LONGEST_UPBEAT = 0.5  # of a bar
NEIGHBOURS = 8  # notes on each side against which a pause is heard


@dataclass(frozen=True, slots=True)
class _Place:
    """A tick at which a phrase may begin, in bars from the start too, and what speaks for it."""

    tick: int
    bars: float
    strength: float


def find_phrases(score: Score, harmonies: Sequence[Harmony], readings: Mapping[str, NoteReading]) -> tuple[Phrase, ...]:
    """The phrases in order, covering the piece without gap or overlap; none for a piece without bars.

    A phrase begins with its upbeat; ``cadence`` is empty where it ends with none.
    """
    if not score.end:
        return ()
    line = top_line(score)
    cadences = _cadences(score, harmonies, line)
    starts = _best_starts(_places(score, line, cadences))
    arrivals = [cadence.arrival for cadence in cadences]
    found = []
    for start, end in zip(starts, [*starts[1:], score.end], strict=True):
        closing = _closing(score, cadences, arrivals, start, end)
        found.append(Phrase(start, end - start, closing.kind if closing else ""))
    return tuple(found)


def top_line(score: Score) -> list[Note]:
    """The highest note struck at each tick at which the top staff (or, where it is silent, any) strikes one."""
    best: dict[int, Note] = {}
    for note in score.sounding():
        other = best.get(note.onset)
        if other is None or (-note.staff, note.midi) > (-other.staff, other.midi):
            best[note.onset] = note
    line: list[Note] = []
    for _, note in sorted(best.items()):
        if not line or note.staff <= line[-1].staff or note.onset >= line[-1].end:
            line.append(note)
    return line


def _cadences(score: Score, harmonies: Sequence[Harmony], line: Sequence[Note]) -> list[Cadence]:
    """All cadences that arrive on a beat, wherever they are."""
    onsets = [note.onset for note in line]
    found = []
    for index, harmony in enumerate(harmonies):
        place = bisect_right(onsets, harmony.onset) - 1
        top = line[place].pitch.pitch_class if place >= 0 and line[place].end > harmony.onset else None
        cadence = cadence_at(harmonies, index, top)
        if cadence and metrical_level(score, harmony.onset) >= BEAT:
            found.append(cadence)
    return found


def _closing(
    score: Score, cadences: Sequence[Cadence], arrivals: Sequence[int], start: int, end: int
) -> Cadence | None:
    """The last cadence to arrive before ``end``, if it is the phrase's and not more than a bar and a half back."""
    place = bisect_left(arrivals, end) - 1
    if place < 0 or arrivals[place] < start:
        return None
    reach = 3 * score.ticks(score.bar_at(max(start, end - 1)).metre.quarters) // 2
    return cadences[place] if end - arrivals[place] <= reach else None


def _places(score: Score, line: Sequence[Note], cadences: Sequence[Cadence]) -> list[_Place]:
    pauses = _pauses(score, line)
    fingerprints = _fingerprints(score, line)
    heard: set[tuple[tuple[int, int], ...]] = set()
    arrivals = [cadence.arrival for cadence in cadences]
    bar_lines = {bar.onset: bar for bar in score.bars}
    places = [_Place(0, _bars(score, 0), 0.0)]
    for tick in sorted({*bar_lines, *pauses}):
        bar = bar_lines.get(tick)
        if bar is not None:
            new = fingerprints.get(tick, ())
            parallel = PARALLEL * (new in heard)
            if len(new) > 2:
                heard.add(new)
        if not tick:
            continue
        strength = pauses.get(tick, 0.0)
        closing = _closing(score, cadences, arrivals, 0, tick)
        if closing is not None:
            strength += FIRMNESS[closing.kind] * (
                1.0 if tick - closing.arrival <= score.bar_at(closing.arrival).length else 0.5
            )
        if bar is not None:
            strength += parallel + REPEAT * (bar.repeat_start or _repeats_before(score, bar))
        else:
            strength -= BREAK_OFF_METRE
        places.append(_Place(tick, _bars(score, tick), strength))
    return places


def _repeats_before(score: Score, bar: Bar) -> bool:
    return bar.index > 0 and (score.bars[bar.index - 1].repeat_end or score.bars[bar.index - 1].endings != bar.endings)


def _pauses(score: Score, line: Sequence[Note]) -> dict[int, float]:
    """For notes of the line that come late after the last, by their tick: how much that speaks for a new phrase."""
    gaps = [b.onset - a.onset for a, b in pairwise(line)]
    found: dict[int, float] = {}
    for i, (gap, last, note) in enumerate(zip(gaps, line, line[1:], strict=False)):
        around = sorted(gaps[max(0, i - NEIGHBOURS) : i + NEIGHBOURS + 1])
        usual = around[len(around) // 2]
        beat = beat_ticks(score, last.onset)
        worth = PAUSE * max(0.0, min(2.0, math.log2(gap / usual))) if gap >= beat else 0.0
        worth += (
            REST * (note.onset - last.end >= beat / 2) + FERMATA * last.fermata + SLUR * (last.slur_end and worth > 0)
        )
        if worth > 0:
            found[note.onset] = worth
    return found


def _fingerprints(score: Score, line: Sequence[Note]) -> dict[int, tuple[tuple[int, int], ...]]:
    """For each bar line the rhythm and the steps of the top line's bar, by which a parallel one is known."""
    found: dict[int, tuple[tuple[int, int], ...]] = {}
    position = 0
    for bar in score.bars:
        first = position
        while position < len(line) and line[position].onset < bar.end:
            position += 1
        notes = line[first:position]
        found[bar.onset] = tuple((n.onset - bar.onset, n.pitch.diatonic - notes[0].pitch.diatonic) for n in notes)
    return found


def _bars(score: Score, tick: int) -> float:
    """The place of ``tick`` counted in bars, an upbeat before bar 1 being negative."""
    bar = score.bar_at(tick)
    whole = score.ticks(bar.metre.quarters)
    upbeat = bool(score.bars[0].lead)
    return bar.index - upbeat + (bar.lead + tick - bar.onset) / whole


def _best_starts(places: Sequence[_Place]) -> list[int]:
    """The places at which phrases begin, so that strengths less the cost of their lengths are greatest in sum."""
    best = [0.0] * len(places)
    back = [0] * len(places)
    first = 0
    for i in range(1, len(places)):
        while first < i - 1 and places[i].bars - places[first].bars > MOST_BARS:
            first += 1
        choices = [(best[j] - _cost(places[i].bars - places[j].bars), j) for j in range(first, i)]
        value, back[i] = max(choices, key=lambda choice: (choice[0], choice[1]))
        best[i] = value + places[i].strength
    end = places[-1].bars + 1
    last = max(range(len(places)), key=lambda i: (best[i] - _cost(end - places[i].bars), i))
    starts = [last]
    while starts[-1]:
        starts.append(back[starts[-1]])
    return [places[i].tick for i in reversed(starts)]


def _cost(bars: float) -> float:
    """What a phrase of so many bars costs: nothing for four, more for the unusual, most for scraps."""
    if bars < LEAST_BARS:
        return 4.0
    uneven = UNEVEN * (min(bars % 1, 1 - bars % 1) > LONGEST_UPBEAT / 4)
    return LENGTH * math.log2(bars / USUAL_BARS) ** 2 + uneven
