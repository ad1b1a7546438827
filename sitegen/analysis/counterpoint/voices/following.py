"""Following every voice of a contrapuntal piece through both staves, from its first note to its last.

The voices that an editor writes in a bar are strong evidence, but a voice crosses the staves, its number is used again
for another in the next bar, and two voices in one rhythm are written as chords. So the notes are dealt to the voices by
what a listener goes by: near pitches, no crossing, no gap; and by what the editor wrote, note after note. As in Chew
and Wu ("Separating voices in polyphonic music: a contig mapping approach", CMMR 2004) the work begins at a moment when
all voices sound, whose order is that of their pitches, and goes on from there to both sides; the way of least cost is
found by a search that keeps the best few ways at every onset (costs after Temperley, "A unified probabilistic model
for polyphonic music analysis", JNMR 2009: pitch proximity, few rests, few crossings, no two notes at once).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from sitegen.analysis.counterpoint.voices.outer import go_on_outside
from sitegen.analysis.counterpoint.voices.together import moments
from sitegen.score import Note

BEAM = 12  # ways that are kept at each onset

# What it costs to give a note to a voice
SEMITONE = 0.4
WIDEST = 16  # semitones from which on a leap is not worse
IN_REGISTER = 0.08  # a semitone away from where the voice has lain
REST = 0.8  # a bar of rest, and more than one
CROSSING = 2.0  # each voice that sounds on the wrong side
OTHER_STAFF = 0.5
HANDS_OVER = 4.0  # a voice falls silent at the moment at which another that rested begins
AT_ONCE = 9.0  # a second note before the voice's last has ended, and as much again for a quarter of overlap
NO_VOICE = 10.0
TOO_MUCH = 14.0  # what costs so much more than the best is not gone into
# What it costs to leave the editor's voice, by how closely its notes follow each other
LEAVES_IN_BAR = 8.0
LEAVES_AFTER_REST = 4.0
LEAVES_AT_BAR_LINE = 3.5
LEAVES_RENUMBERED = 1.0
LEAVES_LATER = 0.6


@dataclass(frozen=True, slots=True)
class DirectedNote:
    """A note as one direction of time has it; ``before`` are the places of the notes that the editor's voice had last
    (of a chord the one of the same rank, or all), which it costs ``leaving`` not to follow."""

    place: int
    start: int
    end: int
    midi: int
    staff: int
    before: frozenset[int]
    leaving: float


@dataclass(frozen=True, slots=True)
class Way:
    """One way to deal the notes so far: of each voice its last event and its register; and the way it came from."""

    cost: float
    lasts: tuple[DirectedNote, ...]
    registers: tuple[float, ...]
    dealt: tuple[tuple[int, int], ...] = ()
    back: Way | None = None


def follow_voices(notes: Sequence[Note], count: int, quarter: int, bar: int) -> list[int | None]:
    """The voice of each note, 0 the highest; None for what is in no voice (the full chord at the close).

    ``notes`` are in order of onset and have lengths; ``quarter`` and ``bar`` are lengths in ticks. At some moment
    ``count`` notes sound together.
    """
    anchor = _anchor(notes, count)
    voices: list[int | None] = [None] * len(notes)
    for place, number in anchor.items():
        voices[place] = number
    if not anchor:
        return voices
    moment = max(notes[place].onset for place in anchor)
    for forward in (True, False):
        events = _events(notes, quarter, forward)
        first = {anchor[event.place]: event for event in events if event.place in anchor}
        rest = [e for e in events if e.place not in anchor and (notes[e.place].onset > moment) == forward]
        for place, found in _search(rest, first, count, quarter, bar):
            voices[place] = found
    return go_on_outside(notes, voices, count, bar)


def _anchor(notes: Sequence[Note], count: int) -> dict[int, int]:
    """The voice of each note at the moment when all voices sound and lie furthest apart; the first of several."""
    best: tuple[int, int] = (-1, 0)
    chosen: list[int] = []
    for onset, _, held in moments(notes):
        if len(held) != count:
            continue
        ordered = sorted(held, key=lambda k: -notes[k].midi)
        pairs = pairwise(ordered)
        apart = min((notes[a].midi - notes[b].midi for a, b in pairs), default=0)
        if (min(apart, 5), -onset) > best:
            best, chosen = (min(apart, 5), -onset), ordered
    return {place: voice for voice, place in enumerate(chosen)}


def _events(notes: Sequence[Note], quarter: int, forward: bool) -> list[DirectedNote]:
    """The notes in the order in which one direction of time meets them, each with what the editor has it follow."""
    sign = 1 if forward else -1
    spans = [(note.onset, note.end) if forward else (-note.end, -note.onset) for note in notes]
    order = sorted(range(len(notes)), key=lambda k: (spans[k][0], notes[k].midi))
    written: dict[int, list[list[int]]] = {}
    for k in order:
        chords = written.setdefault(notes[k].voice, [])
        if chords and spans[chords[-1][0]][0] == spans[k][0]:
            chords[-1].append(k)
        else:
            chords.append([k])
    numbers: dict[tuple[int, int], set[int]] = {}
    for note in notes:
        numbers.setdefault((note.bar, note.home_staff), set()).add(note.voice)
    before: dict[int, tuple[frozenset[int], float]] = {}
    for chords in written.values():
        for earlier, chord in pairwise(chords):
            one, other = notes[earlier[0]], notes[chord[0]]
            gap = spans[chord[0]][0] - max(spans[k][1] for k in earlier)
            renumbered = numbers[one.bar, one.home_staff] != numbers[other.bar, other.home_staff]
            cost = leaving((other.bar - one.bar) * sign, gap, quarter, renumbered)
            for rank, k in enumerate(chord):
                alike = len(chord) == len(earlier)
                before[k] = (frozenset([earlier[rank]] if alike else earlier), cost if alike else cost / 2)
    nothing: tuple[frozenset[int], float] = (frozenset(), 0.0)
    return [DirectedNote(k, *spans[k], notes[k].midi, notes[k].staff, *before.get(k, nothing)) for k in order]


def leaving(bars: int, gap: int, quarter: int, renumbered: bool) -> float:
    """What it costs to leave an editor's voice between two of its notes, so many ``bars`` and ticks apart. A bar with
    more or fewer voices on the staff numbers them anew."""
    if bars == 0:
        return LEAVES_IN_BAR if gap <= 0 else LEAVES_AFTER_REST
    if bars > 1 or gap > quarter:
        return LEAVES_LATER
    return LEAVES_RENUMBERED if renumbered else LEAVES_AT_BAR_LINE


def _search(
    events: Sequence[DirectedNote], first: dict[int, DirectedNote], count: int, quarter: int, bar: int
) -> Iterator[tuple[int, int]]:
    """The place and the voice of each note, by the way of least cost from the events of the ``first`` moment."""
    lasts = tuple(first[voice] for voice in range(count))
    ways = [Way(0.0, lasts, tuple(float(event.midi) for event in lasts))]
    for _, struck in groupby(events, key=lambda event: event.start):
        group = list(struck)
        found: dict[tuple[int, ...], Way] = {}
        for way in ways:
            for after in _deal(way, group, quarter, bar):
                key = tuple(event.place for event in after.lasts)
                if key not in found or after.cost < found[key].cost:
                    found[key] = after
        ways = best_ways(found.values())
    step: Way | None = ways[0]
    while step is not None:
        yield from step.dealt
        step = step.back


def best_ways(found: Collection[Way]) -> list[Way]:
    """The few that are gone on with, the best first."""
    ways = sorted(found, key=lambda way: way.cost)[:BEAM]
    return [way for way in ways if way.cost <= ways[0].cost + TOO_MUCH]


def _deal(way: Way, group: Sequence[DirectedNote], quarter: int, bar: int) -> Iterator[Way]:
    """Every way to go on with the notes of one onset, each voice taking one at most."""
    count = len(way.lasts)
    start = group[0].start
    sounding = [last if last.end > start else None for last in way.lasts]
    costs = [[cost_of(way, event, voice, quarter, bar) for voice in range(count)] for event in group]
    full = len(group) > sum(last is None for last in sounding)
    ended = {voice for voice, last in enumerate(way.lasts) if last.end == start}
    rested = {voice for voice, last in enumerate(way.lasts) if last.end < start}

    within = [min(row) + TOO_MUCH for row in costs]
    best = [float("inf")]

    def choose(k: int, dealt: list[int | None], cost: float) -> Iterator[tuple[float, list[int | None]]]:
        if cost > best[0] + TOO_MUCH:
            return
        if k == len(group):
            best[0] = min(best[0], cost)
            yield cost, dealt
            return
        for voice in sorted(range(count), key=costs[k].__getitem__):
            if voice in dealt or costs[k][voice] > within[k]:
                continue
            crossed = 0
            for other in range(count):
                if other == voice:
                    continue
                if other in dealt:
                    midi = group[dealt.index(other)].midi
                elif (last := sounding[other]) is not None:
                    midi = last.midi
                else:
                    continue
                crossed += (group[k].midi - midi) * (other - voice) < 0
            yield from choose(k + 1, [*dealt, voice], cost + costs[k][voice] + CROSSING * crossed)
        if full:
            yield from choose(k + 1, [*dealt, None], cost + NO_VOICE)

    for cost, dealt in choose(0, [], way.cost):
        lasts, registers = list(way.lasts), list(way.registers)
        placed = []
        for event, voice in zip(group, dealt, strict=True):
            if voice is not None:
                lasts[voice] = event
                registers[voice] += (event.midi - registers[voice]) / 16
                placed.append((event.place, voice))
        taken = set(dealt)
        cost += HANDS_OVER * min(len(ended - taken), len(rested & taken))
        yield Way(cost, tuple(lasts), tuple(registers), tuple(placed), way)


def cost_of(way: Way, event: DirectedNote, voice: int, quarter: int, bar: int) -> float:
    """What it costs to give ``event`` to ``voice``, crossings left aside."""
    last = way.lasts[voice]
    cost = 0.0
    gap = event.start - last.end
    if gap < 0:
        cost += AT_ONCE * (1 + min(1.0, -gap / quarter))
    rest = min(2.0, max(0, gap) / bar)
    if gap > 0:
        cost += IN_REGISTER * abs(event.midi - way.registers[voice])
    cost += SEMITONE * min(WIDEST, abs(event.midi - last.midi)) / (1 + rest) + REST * rest
    if event.staff != last.staff:
        cost += OTHER_STAFF
    if event.before and last.place not in event.before:
        cost += event.leaving
    return cost
