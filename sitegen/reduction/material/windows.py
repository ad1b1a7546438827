"""The windows of an accompaniment: the stretches in which a hand's figure runs once, or a beat where it plays none.

A figure is known by its repetition: the same rhythm and the same rise and fall in the window before or after, whatever
its intervals, neighbour notes and seconds included (Schoenberg, *Fundamentals of Musical Composition*, 1967, ch. 9: an
accompaniment is a motive that is repeated). It is looked for in windows of a beat, half a bar and a bar, and
of half a beat where that lasts a half note (a bass with its chord in quarters, alla breve); the shortest that repeats
is the figure's. What repeats nothing, but is a broken chord by its texture, is one figure
each half bar, or each bar where that has no half.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from operator import attrgetter

from sitegen.analysis import Analysis, Harmony, harmonies_between
from sitegen.reduction.material.roles import FIGURES
from sitegen.score import Bar, Note, Score
from sitegen.score.metre import bar_ticks, beat_start, beat_ticks

LEAPS = 0.4  # the share of a figure's moves that are leaps, from the last note back to the first counted too
CROWDED = 0.6  # the same share where a passing note makes three pitches of it that lie a second apart
LEAP = 3  # semitones
OCTAVE = 12  # semitones
HALF_BEAT = -1
"""Stands for two windows a beat, which no number of windows in a bar says."""
SIZES = (HALF_BEAT, 0, 2, 1)  # into how many windows a bar is cut, the shortest first: 0 for one a beat
LONG_BEAT = 2  # quarters of a beat in which a bass with its chord may be a figure twice
BROKEN = FIGURES | {"melody and figuration"}

_ONSET = attrgetter("onset")

Shape = tuple[tuple[int, ...], tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class Window:
    """What one staff strikes from the tick ``onset``, a beat, up to ``end``: at least one note, none of the melody.

    ``figure`` says that its notes belong together as one figure; else it is one beat of anything else. ``run`` says
    that it is what a run has of one harmony (``runs``).
    """

    staff: int
    onset: int
    end: int
    notes: tuple[Note, ...]
    figure: bool
    run: bool = False


def find_windows(score: Score, analysis: Analysis, staff: int, notes: Sequence[Note]) -> tuple[Window, ...]:
    """The windows of one staff in order. ``notes`` are those it strikes as accompaniment, in order of onset."""
    bars: dict[int, list[Note]] = {}
    for note in notes:
        bars.setdefault(note.bar, []).append(note)
    figured = [(t.onset, t.end) for t in analysis.textures if t.staff == staff and t.kind in BROKEN]
    left = score.hand_of(staff) == "left"
    taken = _repeated(score, bars, left)
    found: list[Window] = []
    for index in sorted(bars):
        found += _windows_of_a_bar(score, analysis, staff, score.bars[index], bars[index], taken[index], figured)
    return tuple(found)


def _repeated(score: Score, bars: Mapping[int, Sequence[Note]], left: bool) -> dict[int, list[tuple[int, int]]]:
    """The windows, by bar, in which a figure runs: first those that are repeated at once, in the window before or
    after, then those that come again within the length of a bar."""
    taken: dict[int, list[tuple[int, int]]] = {index: [] for index in bars}
    alike = {size: _alike(score, bars, size) for size in SIZES}
    for apart in (False, True):
        for size in SIZES:
            for windows in alike[size]:
                for place, (index, start, end, notes) in enumerate(windows):
                    if any(a < end and start < b for a, b in taken[index]):
                        continue
                    reach = score.bars[index].length if apart and size != 1 else 0
                    beside = [*windows[max(0, place - 1) : place], *windows[place + 1 : place + 2]]
                    near = [other for _, a, b, other in beside if start - reach <= b and a <= end + reach]
                    if near and _repeats(notes, near, left) and (size != HALF_BEAT or _has_afterbeats(notes)):
                        taken[index].append((start, end))
    return taken


def _repeats(notes: Sequence[Note], near: Sequence[Sequence[Note]], left: bool) -> bool:
    """Whether notes are a figure, given those of its shape beside it: of what is crowded the share of leaps of all
    figures is enough where one of them is one."""
    return _is_figure(notes, left) or (
        _is_figure(notes, left, LEAPS) and any(_is_figure(other, left) for other in near)
    )


def _alike(
    score: Score, bars: Mapping[int, Sequence[Note]], size: int
) -> Iterable[list[tuple[int, int, int, Sequence[Note]]]]:
    """The windows of one size, each with the index of its bar and its notes: those of one shape together, in order."""
    found: dict[Shape, list[tuple[int, int, int, Sequence[Note]]]] = {}
    for index in sorted(bars):
        for start, end in _grid(score, score.bars[index], size):
            notes = _between(bars[index], start, end)
            found.setdefault(shape_of(notes, start), []).append((index, start, end, notes))
    return found.values()


def _windows_of_a_bar(
    score: Score,
    analysis: Analysis,
    staff: int,
    bar: Bar,
    notes: Sequence[Note],
    taken: Sequence[tuple[int, int]],
    figured: Sequence[tuple[int, int]],
) -> Iterator[Window]:
    stretches = [(start, end, True) for start, end in taken]
    halves = _grid(score, bar, 2) if _has_half(score, bar) else _grid(score, bar, 1)
    for start, end in halves:
        free = not any(a < end and start < b for a, b in taken)
        broken = any(a <= start and end <= b for a, b in figured)
        if free and broken and _is_figure(_between(notes, start, end), score.hand_of(staff) == "left"):
            stretches.append((start, end, True))
    for start, end in _grid(score, bar, 0):
        if not any(a < end and start < b for a, b, _ in stretches):
            broken = any(a <= start and end <= b for a, b in figured)
            stretches.append((start, end, broken and _is_part_of_a_figure(_between(notes, start, end))))
    for start, end, figure in sorted(stretches):
        inside = _between(notes, start, end)
        if not inside:
            continue
        cuts: set[int] = set()
        if figure and not _has_afterbeats(inside):
            cuts = _changes(score, analysis.harmonies, inside, start, end) | _drops(score, inside)
        for a, b in pairwise([start, *sorted(cuts), end]):
            part = _between(inside, a, b)
            if part:
                yield Window(staff, a, b, tuple(part), figure and len({n.onset for n in part}) > 1)


def _changes(score: Score, harmonies: Sequence[Harmony], notes: Sequence[Note], start: int, end: int) -> set[int]:
    """The beats within a figure at which the harmony changes, where no single one explains all of its notes."""
    here = [h for h in harmonies_between(harmonies, start, end) if h.pitch_classes]
    classes = {note.pitch.pitch_class for note in notes}
    if len(here) < 2 or any(classes <= h.pitch_classes for h in here):
        return set()
    cuts = set()
    for harmony in here:
        beat = beat_start(score, harmony.onset)
        before = [n for n in notes if beat <= n.onset < harmony.onset]
        if any(n.pitch.pitch_class not in harmony.pitch_classes for n in before):
            beat += beat_ticks(score, harmony.onset)
        cuts.add(beat)
    return {cut for cut in cuts if start < cut < end}


def _drops(score: Score, notes: Sequence[Note]) -> set[int]:
    """The beats within a figure on which the hand leaves its place: an octave or more below all before."""
    found = set()
    lowest = notes[0].midi
    for note in notes:
        if lowest - note.midi >= OCTAVE and beat_start(score, note.onset) == note.onset:
            found.add(note.onset)
        lowest = min(lowest, note.midi)
    return found


def _grid(score: Score, bar: Bar, count: int) -> list[tuple[int, int]]:
    """The windows of a bar in ticks, ``count`` as in ``SIZES``; an upbeat has those that lie in it whole or in part."""
    full = bar_ticks(score, bar.onset)
    beat = beat_ticks(score, bar.onset)
    if count == HALF_BEAT:
        if bar.metre.beat_quarters < LONG_BEAT:
            return []
        size = beat // 2
    elif count == 0:
        size = beat
    elif count == 2:
        if not _has_half(score, bar):
            return []
        size = full // 2
    else:
        size = max(full, bar.length + bar.lead)
    origin = bar.onset - bar.lead
    found = []
    start = origin
    while start < bar.end:
        if start + size > bar.onset:
            found.append((max(start, bar.onset), min(start + size, bar.end)))
        start += size
    return found


def _has_half(score: Score, bar: Bar) -> bool:
    full, beat = bar_ticks(score, bar.onset), beat_ticks(score, bar.onset)
    return (full % (2 * beat) == 0 and full > 2 * beat) or (full == 2 * beat and bar.metre.quarters >= 3)


def _between(notes: Sequence[Note], start: int, end: int) -> Sequence[Note]:
    low = bisect_left(notes, start, key=_ONSET)
    return notes[low : bisect_left(notes, end, low, key=_ONSET)]


def attacks_of(notes: Sequence[Note]) -> list[list[Note]]:
    """Notes in order of onset, those that are struck together in one list."""
    return [list(chord) for _, chord in groupby(notes, key=_ONSET)]


def _without_unisons(notes: Sequence[Note]) -> list[Note]:
    return list({(note.onset, note.midi): note for note in notes}.values())


def shape_of(notes: Sequence[Note], start: int) -> Shape:
    """Rhythm, and how the highest note goes from attack to attack: up (1), down (-1) or nowhere (0)."""
    attacks = attacks_of(notes)
    tops = [max(n.midi for n in chord) for chord in attacks]
    moves = tuple((b > a) - (b < a) for a, b in pairwise(tops))
    return tuple(chord[0].onset - start for chord in attacks), moves


def _is_figure(notes: Sequence[Note], left: bool, crowded: float = CROWDED) -> bool:
    """Whether notes can be a figure at all: three pitches, or two in turn, of which enough go by leap: ``crowded`` is
    that share where three pitches lie a second apart. A key that two voices strike together is one note. ``left`` says
    that the left hand plays them, which alone has a bass to strike with a figure's first note."""
    pitches = {note.midi for note in notes}
    if len(pitches) < 2:
        return False
    attacks = attacks_of(_without_unisons(notes))
    if len(attacks) < 2:
        return False
    singles = all(len(chord) == 1 for chord in attacks)
    is_cluster = _is_cluster(attacks)
    if is_cluster and not singles:
        return False
    if len(pitches) == 2 and singles:
        turns = [chord[0] for chord in attacks]
        in_turn = len(turns) >= 4 and all(one.midi != other.midi for one, other in pairwise(turns))
        return in_turn or (len(turns) == 2 and turns[0].end > turns[1].onset)
    if not singles:
        # a bass and its chord, or a chord whose notes come apart: not chords that move on
        alone = len(attacks[0]) == 1 and attacks[0][0].midi < min(n.midi for chord in attacks[1:] for n in chord)
        return alone or (left and _goes_on_above_its_bass(attacks))
    return _leaps([chord[0].midi for chord in attacks], crowded if is_cluster else LEAPS)


def _goes_on_above_its_bass(attacks: Sequence[Sequence[Note]]) -> bool:
    """Whether a bass is struck with the first note of a broken chord, another voice that goes on above it by leap."""
    if len(attacks[0]) != 2 or any(len(chord) > 1 for chord in attacks[1:]):
        return False
    bass, first = sorted(attacks[0], key=attrgetter("midi"))
    later = [chord[0] for chord in attacks[1:]]
    if bass.voice in {note.voice for note in (first, *later)} or bass.midi >= min(note.midi for note in later):
        return False
    return _leaps([first.midi, *(note.midi for note in later)], LEAPS)


def _leaps(heights: Sequence[int], enough: float) -> bool:
    """Whether enough of the moves are leaps, from the last note back to the first counted too."""
    moves = [abs(a - b) for a, b in pairwise([*heights, heights[0]])]
    return sum(move >= LEAP for move in moves) >= enough * len(moves)


def _has_afterbeats(notes: Sequence[Note]) -> bool:
    """Whether notes are a bass and chords above it, which belong to it whatever the harmony."""
    bass, *chords = attacks_of(notes)
    return len(bass) == 1 and bool(chords) and all(len(c) > 1 and min(n.midi for n in c) > bass[0].midi for c in chords)


def _is_part_of_a_figure(notes: Sequence[Note]) -> bool:
    """Whether notes, one at a time, can be the beginning or the end of a figure."""
    attacks = attacks_of(_without_unisons(notes))
    one_by_one = all(len(chord) == 1 for chord in attacks)
    return one_by_one and len({note.midi for note in notes}) > 1 and not _is_cluster(attacks)


def _is_cluster(attacks: Sequence[Sequence[Note]]) -> bool:
    """Whether three pitches lie a second apart from each other, those that only turn about another left out: such
    notes are a line, and no chord that a hand holds."""
    turning = {
        note.midi
        for before, chord, after in zip(attacks, attacks[1:], attacks[2:], strict=False)
        for note in chord
        if len(before) == len(chord) == len(after) == 1
        and before[0].midi == after[0].midi
        and abs(before[0].midi - note.midi) < LEAP
    }
    heights = sorted({note.midi for chord in attacks for note in chord} - turning)
    return any(
        max(two - one, three - two) < LEAP for one, two, three in zip(heights, heights[1:], heights[2:], strict=False)
    )
