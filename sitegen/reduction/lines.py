"""A line on four levels, from its skeleton to all its notes, each note of a sparser level kept in the fuller ones.

A line is cut into runs where it rests for a beat or longer. Within a run time has no gaps: a note that is taken out
gives its time to a note that stays. Which one follows from the definitions of non-harmonic tones (Kostka and Payne,
*Tonal Harmony*, chapters "Nonchord Tones"): an appoggiatura, suspension or retardation stands in the place of its
resolution, so that takes over its onset; a passing note, a neighbour, an escape note and an anticipation embellish
what came before, which is held on. Between two equal notes a neighbour leaves one note.

On the structural levels one note is kept for each harmony of a bar, or for each beat of each harmony, as in the
time-span reduction of Lerdahl and Jackendoff (*A Generative Theory of Tonal Music*, 1983, chapter 7): it stands for
the whole span and is struck at its start, so that the outer voices come together.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass

from sitegen.analysis.metre import beat_start, beat_ticks
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.striking import stand_for
from sitegen.score import Note

FORWARD = frozenset({"appoggiatura", "suspension", "retardation"})
STANDING = frozenset({"chord tone", "pedal note"})
LEANING = STANDING | FORWARD


@dataclass(frozen=True, slots=True)
class Span:
    """A kept note, the notes of the line, itself among them, whose time it has, and the tick from which it has it."""

    head: Note
    members: tuple[Note, ...]
    onset: int


def runs(material: Material, line: Sequence[Note]) -> list[list[Note]]:
    """Cut a line where it rests for a beat or longer, and where it moves to another staff."""
    found: list[list[Note]] = []
    end = 0
    for note in line:
        if not found or note.onset - end >= beat_ticks(material.score, note.onset) or note.staff != found[-1][-1].staff:
            found.append([])
            end = note.end
        found[-1].append(note)
        end = max(end, note.end)
    return found


def without_ornaments(material: Material, line: Sequence[Note]) -> list[list[Span]]:
    """The chord tones of each run of a line, each with the notes that decorate it."""
    return [_spans(material, run, STANDING) for run in runs(material, line)]


def with_leanings(material: Material, line: Sequence[Note]) -> list[list[Span]]:
    """As ``without_ornaments``, with appoggiaturas, suspensions and retardations put back."""
    plain = without_ornaments(material, line)
    found = []
    for run, spans in zip(runs(material, line), plain, strict=True):
        heads = {span.head.id for span in spans}
        leaning = {n.id for n in run if material.reading(n).function in FORWARD and n.id not in material.ornaments}
        found.append(_assign(material, run, [n for n in run if n.id in heads or n.id in leaning], frozenset()))
    return found


def by_harmony(material: Material, line: Sequence[Note]) -> list[list[Span]]:
    """One note for each harmony, and for each bar of it."""
    return _structural(material, line, lambda tick: (material.harmony_index(tick), material.score.bar_at(tick).index))


def by_beat(material: Material, line: Sequence[Note]) -> list[list[Span]]:
    """One note for each beat of each harmony."""

    def place(tick: int) -> Hashable:
        return material.harmony_index(tick), material.score.bar_at(tick).index, beat_start(material.score, tick)

    return _structural(material, line, place)


def sing(spans: Iterable[Sequence[Span]]) -> list[StageNote]:
    """The notes of a reduced line: each from the start of its span to the start of the next, or the end of its own."""
    notes = []
    for run in spans:
        for place, span in enumerate(run):
            end = max(note.end for note in span.members)
            if place + 1 < len(run):
                end = min(end, run[place + 1].onset)
            if end > span.onset:
                notes.append(stand_for(span.head, span.members, span.onset, end))
    return notes


def structural_weight(material: Material, note: Note) -> tuple[float, ...]:
    """How much a note is to be kept: its depth, then whether it belongs to the chord, its length and its height."""
    reading = material.reading(note)
    return (reading.function in STANDING, reading.depth, note.duration, note.midi, -note.onset)


def _spans(material: Material, run: Sequence[Note], kept: frozenset[str]) -> list[Span]:
    heads = [n for n in run if material.reading(n).function in kept or _is_prepared(material, n)]
    heads = [n for n in heads if n.id not in material.ornaments] or heads
    if not heads:
        heads = [max(run, key=lambda n: structural_weight(material, n))]
    return _assign(material, run, _neighbours_taken_out(material, run, heads), FORWARD)


def _is_prepared(material: Material, note: Note) -> bool:
    """Whether a suspension is struck before the harmony of its resolution: then it is its own preparation."""
    reading = material.reading(note)
    goal = material.by_id.get(reading.resolves_to or "")
    if reading.function not in FORWARD or goal is None:
        return False
    return material.harmony_index(note.onset) < material.harmony_index(goal.onset)


def _neighbours_taken_out(material: Material, run: Sequence[Note], heads: Sequence[Note]) -> list[Note]:
    """Drop a head that only comes back to the one before it, over neighbours within one harmony and bar."""
    place = {note.id: index for index, note in enumerate(run)}
    kept: list[Note] = []
    last = -1
    for head in heads:
        if kept and kept[-1].midi == head.midi and kept[-1].bar == head.bar:
            between = run[last + 1 : place[head.id]]
            same_chord = material.harmony_index(kept[-1].onset) == material.harmony_index(head.onset)
            turning = {material.reading(note).function for note in between} <= {"neighbour note", "ornament"}
            if between and same_chord and turning:
                last = place[head.id]
                continue
        kept.append(head)
        last = place[head.id]
    return kept


def _assign(material: Material, run: Sequence[Note], heads: Sequence[Note], forward: frozenset[str]) -> list[Span]:
    """Give every note of ``run`` to the head before it, or to the next if it leans on that one."""
    ids = {head.id for head in heads}
    waiting: list[Note] = []
    members: list[list[Note]] = []
    for note in run:
        if note.id not in ids:
            waiting.append(note)
            continue
        leaning = len(waiting)
        target = note.id
        while members and leaning and _leans_on(material, waiting[leaning - 1], target, forward):
            leaning -= 1
            target = waiting[leaning].id
        if members:
            members[-1].extend(waiting[:leaning])
            members.append([*waiting[leaning:], note])
        else:
            members.append([*waiting, note])
        waiting = []
    members[-1].extend(waiting)
    spans = [
        Span(head, tuple(notes), next(n.onset for n in notes if n is head or n.id not in material.ornaments))
        for head, notes in zip(heads, members, strict=True)
    ]
    return [
        _from_the_change(material, spans[place - 1].members[-1], span) if place and forward else span
        for place, span in enumerate(spans)
    ]


def _from_the_change(material: Material, before: Note, span: Span) -> Span:
    """A resolution with the time of the tied suspension before it, from where the harmony changes under that."""
    change = material.harmony(span.head.onset).onset
    suspended = _is_prepared(material, before) and material.reading(before).resolves_to == span.head.id
    if not suspended or not before.onset < change < span.onset or before.end < span.onset:
        return span
    return Span(span.head, (before, *span.members), change)


def _leans_on(material: Material, note: Note, target: str, forward: frozenset[str]) -> bool:
    reading = material.reading(note)
    if reading.function not in forward or note.id in material.ornaments or _is_prepared(material, note):
        return False
    return reading.resolves_to in (None, target)


def _structural(material: Material, line: Sequence[Note], place: Callable[[int], Hashable]) -> list[list[Span]]:
    found = []
    for run in without_ornaments(material, line):
        units: dict[Hashable, list[Span]] = {}
        for span in run:
            units.setdefault(place(span.onset), []).append(span)
        found.append([_deepest(material, spans) for spans in units.values()])
    return found


def _deepest(material: Material, spans: Sequence[Span]) -> Span:
    best = max(spans, key=lambda s: structural_weight(material, s.head))
    return Span(best.head, tuple(note for span in spans for note in span.members), spans[0].onset)
