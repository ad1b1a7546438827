"""What speaks for a phrase to begin at a place of the music, or against it.

A phrase may begin at every bar line, and with every note of the line that comes after a pause or begins a slur: its
upbeat. Each kind of evidence is a number about 0 to 1; ``phrases`` weighs them.

==========  ==========================================================================================================
kind        what is measured
==========  ==========================================================================================================
pause       by how much the note before is longer than its neighbours (Cambouropoulos, "The local boundary detection
            model", ICMC 2001), in powers of two, at most 2
rest        1 where the line rests for half a beat or more
fermata     1 after a note with a fermata
cadence     how firmly the cadence just before closes; a part of it where the line moves on from it
arrival     the same, where its chord comes with the bar line before: the last bar of a phrase rests on it
inverted    1 where the bar stands on a tonic in inversion, which sets nothing out (Caplin, Classical Form, 1998, ch. 2)
figure      1 where the accompaniment has another rhythm than in the bar before
repeat      1 at a repeat sign, or after the last of several endings
turn        1 where the key signature or the metre changes
parallel    how far the bar sets out like an earlier one that is not the one before, in rhythm, steps or pitches, the
            less so the commoner that is (GPR 6 of Lerdahl & Jackendoff, A Generative Theory of Tonal Music, 1983)
opening     the same, for the bar with which the piece sets out
slur        where a slur begins after another has ended, the less so the commoner that is
in slur     1 where a slur goes on over the place
off metre   1 for a place that is no bar line
==========  ==========================================================================================================
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sitegen.analysis.chords import tonic_of
from sitegen.analysis.form.cadences import FIRMNESS, Cadence
from sitegen.analysis.nouns import Harmony, harmony_index
from sitegen.score import Bar, Note, Score
from sitegen.score.metre import beat_ticks

NEIGHBOURS = 8  # notes on each side against which a pause is heard
LONGEST_SLUR = 12  # bars: what is longer has lost its end in the file
REACH = 1.5  # bars from a cadence's arrival to the end of its phrase
RESOLVING = 1  # notes with which the line may end after the chord of a cadence has come
MOVING_ON = 0.3  # of a cadence is left where the line goes on
LEAST_LIKE = 2  # notes of a bar by which it is known again
COMMON = 2.0  # what half of all bars have tells nothing

LIKENESS = (0.3, 0.5, 0.6, 1.0)
"""How much it tells that a bar has the rhythm of an earlier one, that two bars have it, the steps too, the pitches."""
Look = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PhraseStart:
    """A tick at which a phrase may begin; ``bar`` counts the bars from the first full one to the bar that the place
    belongs to (an upbeat's is the next), second endings counted like the first."""

    tick: int
    bar: int
    evidence: tuple[tuple[str, float], ...] = ()


def places_of(
    score: Score,
    line: Sequence[Note],
    cadences: Sequence[Cadence],
    also: Collection[int] = (),
    harmonies: Sequence[Harmony] = (),
) -> list[PhraseStart]:
    """The places in order, the first at tick 0, with the ticks ``also``. ``line`` has the notes of the melody in
    order of onset."""
    bars, slurs = counted_bars(score), slurs_of(score, line)
    of_bar = _of_bars(score, line, harmonies)
    of_note = _of_notes(score, line, slurs)
    arrivals, onsets = [cadence.arrival for cadence in cadences], [note.onset for note in line]
    found = [PhraseStart(0, bars[0] + _is_upbeat(score, 0))]
    ends = [end for _, end in slurs]
    for tick in sorted({*(bar.onset for bar in score.bars), *of_note, *also} - {0}):
        bar = score.bar_at(tick)
        index = bar.index + _is_upbeat(score, tick)
        evidence = dict(of_note.get(tick, {}))
        evidence.update(of_bar[index] if index < len(of_bar) else {})
        closing = closing_cadence(score, cadences, arrivals, 0, tick)
        if closing is not None:
            near = tick - closing.arrival <= score.bar_at(closing.arrival).length
            further = bisect_left(onsets, tick) - bisect_right(onsets, closing.arrival)
            evidence["cadence"] = FIRMNESS[closing.kind] * (1.0 if near and further <= RESOLVING else MOVING_ON)
            if index and closing.arrival == score.bars[index - 1].onset:
                evidence["arrival"] = FIRMNESS[closing.kind]
        if any(start < tick < end for start, end in slurs[bisect_right(ends, tick) :]):
            evidence["in slur"] = 1.0
        if tick != bar.onset or bar.lead:
            evidence["off metre"] = 1.0
        count = bars[index] if index < len(bars) else bars[-1] + 1
        found.append(PhraseStart(tick, count, tuple(sorted(evidence.items()))))
    return found


def closing_cadence(
    score: Score, cadences: Sequence[Cadence], arrivals: Sequence[int], start: int, end: int
) -> Cadence | None:
    """The last cadence to arrive before ``end``, if not before ``start`` and not too far back to close a phrase."""
    place = bisect_left(arrivals, end) - 1
    if place < 0 or arrivals[place] < start:
        return None
    reach = REACH * score.ticks(score.bar_at(max(start, end - 1)).metre.quarters)
    return cadences[place] if end - arrivals[place] <= reach else None


def counted_bars(score: Score) -> list[int]:
    """For each bar its number in the count of full bars from 0. Endings are alternatives: each counts from where the
    first did; the second part of a bar that a repeat divides counts with the first."""
    counts: list[int] = []
    count, branch = 0, 0
    for bar in score.bars:
        before = score.bars[bar.index - 1] if bar.index else None
        if bar.endings and (before is None or before.endings != bar.endings):
            if before is not None and before.endings:
                count = branch
            branch = count
        if bar.lead and bar.index:
            counts.append(count - 1)
            continue
        counts.append(count - bool(bar.lead))
        count += not bar.lead
    return counts


def slurs_of(score: Score, line: Sequence[Note]) -> list[tuple[int, int]]:
    """The slurs over the line, as the onsets of their first and last notes, by their ends. In each voice a slur ends
    the one that was begun last."""
    staves = {note.staff for note in line}
    begun: dict[int, list[Note]] = defaultdict(list)
    found = []
    for note in score.sounding():
        if note.staff not in staves:
            continue
        if note.slur_end and begun[note.voice]:
            first = begun[note.voice].pop()
            if score.bar_at(note.onset).index - score.bar_at(first.onset).index <= LONGEST_SLUR:
                found.append((first.onset, note.onset + 1))
        if note.slur_start:
            begun[note.voice].append(note)
    return sorted(set(found), key=lambda slur: slur[::-1])


def _is_upbeat(score: Score, tick: int) -> bool:
    """Whether a phrase that begins at ``tick`` counts from the next bar line: in the second half of a bar."""
    bar = score.bar_at(tick)
    return 2 * (bar.lead + tick - bar.onset) >= score.ticks(bar.metre.quarters)


def _of_notes(score: Score, line: Sequence[Note], slurs: Sequence[tuple[int, int]]) -> dict[int, dict[str, float]]:
    """What speaks for a phrase with each note of the line that comes after a pause or begins a slur, by its tick."""
    gaps = [b.onset - a.onset for a, b in pairwise(line)]
    begins, ends = {start for start, _ in slurs}, {end - 1 for _, end in slurs}
    joints = sum(note.onset in begins and last.onset in ends for last, note in pairwise(line))
    rare = 1 - min(1.0, COMMON * (joints - 1) / len(score.bars))
    found: dict[int, dict[str, float]] = {}
    for i, (gap, last, note) in enumerate(zip(gaps, line, line[1:], strict=False)):
        around = sorted(gaps[max(0, i - NEIGHBOURS) : i + NEIGHBOURS + 1])
        usual, beat = around[len(around) // 2], beat_ticks(score, last.onset)
        longer = min(2.0, math.log2(gap / usual)) if gap >= beat else 0.0
        evidence = {
            "pause": max(0.0, longer),
            "rest": float(note.onset - last.end >= beat / 2),
            "fermata": float(last.fermata),
            "slur": rare * (note.onset in begins and last.onset in ends),
        }
        evidence = {kind: value for kind, value in evidence.items() if value}
        if evidence:
            found[note.onset] = evidence
    return found


def _of_bars(score: Score, line: Sequence[Note], harmonies: Sequence[Harmony]) -> list[dict[str, float]]:
    """What speaks for a phrase with each bar."""
    likeness = _likeness(score, line)
    below = _accompanying(score, line)
    found = []
    for bar, (parallel, opening) in zip(score.bars, likeness, strict=True):
        before = score.bars[max(0, bar.index - 1)]
        evidence = {
            "parallel": parallel,
            "opening": opening,
            "repeat": float(bar.repeat_start or _repeats_before(score, bar)),
            "turn": float((before.fifths, before.metre) != (bar.fifths, bar.metre)),
            "figure": float(below[bar.index] != below[before.index]),
            "inverted": float(_is_inverted_tonic(harmonies, bar.onset)),
        }
        found.append({kind: value for kind, value in evidence.items() if value})
    return found


def _accompanying(score: Score, line: Sequence[Note]) -> list[Look]:
    """For each bar the rhythm in which all strike that are not the line."""
    sung = {note.id for note in line}
    bars: list[set[int]] = [set() for _ in score.bars]
    for note in score.sounding():
        if note.id not in sung:
            bars[note.bar].add(note.onset - score.bars[note.bar].onset)
    return [tuple(sorted(bar)) for bar in bars]


def _is_inverted_tonic(harmonies: Sequence[Harmony], tick: int) -> bool:
    if not harmonies:
        return False
    harmony = harmonies[harmony_index(harmonies, tick)]
    return (
        harmony.key is not None
        and harmony.root is not None
        and harmony.root == tonic_of(harmony.key or "") != harmony.bass
    )


def _likeness(score: Score, line: Sequence[Note]) -> list[tuple[float, float]]:
    """For each bar how far it sets out like any earlier one, and like the first of the piece."""
    looks = _looks(score, line)
    common = [Counter(look) for look in zip(*looks, strict=True)]
    opening = next((look for look in looks if len(look[0]) >= LEAST_LIKE), None)
    heard: list[set[Look]] = [set() for _ in LIKENESS]
    found = []
    for index, look in enumerate(looks):
        parallel = again = 0.0
        for kind, (worth, own) in enumerate(zip(LIKENESS, look, strict=True)):
            if len(look[0]) < LEAST_LIKE or own not in heard[kind] or own == looks[index - 1][kind]:
                continue
            rare = 1 - min(1.0, COMMON * (common[kind][own] - 1) / len(looks))
            parallel = max(parallel, worth * rare)
            if opening is not None and own == opening[kind]:
                again = max(again, worth * rare)
        found.append((parallel, again))
        for kind, own in enumerate(look):
            heard[kind].add(own)
    return found


def _repeats_before(score: Score, bar: Bar) -> bool:
    """Whether a repeat, or the last of its endings, closes just before ``bar``. Endings themselves go on."""
    if not bar.index or bar.endings:
        return False
    return score.bars[bar.index - 1].repeat_end or bool(score.bars[bar.index - 1].endings)


def _looks(score: Score, line: Sequence[Note]) -> list[tuple[Look, ...]]:
    """For each bar its looks in the order of ``LIKENESS``."""
    bars: list[list[Note]] = [[] for _ in score.bars]
    for note in line:
        bars[note.bar].append(note)
    rhythms = [tuple(note.onset - bar.onset for note in notes) for bar, notes in zip(score.bars, bars, strict=True)]
    found: list[tuple[Look, ...]] = []
    for rhythm, following, notes in zip(rhythms, [*rhythms[1:], ()], bars, strict=True):
        shape = tuple(note.pitch.diatonic - notes[0].pitch.diatonic for note in notes)
        pitches = tuple(note.midi for note in notes)
        found.append((rhythm, (*rhythm, -1, *following), (*rhythm, *shape), (*rhythm, *pitches)))
    return found
