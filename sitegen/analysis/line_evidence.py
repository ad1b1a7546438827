"""What the preference rules of a time-span reduction ask of each note of a line: place in the metre, length, degree."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from sitegen.analysis.metre import BAR, metrical_level
from sitegen.analysis.naming import key_of
from sitegen.analysis.nouns import Harmony, LineName, NoteReading
from sitegen.score import Note, Score

_TRIADS = {"major": (4, 7), "minor": (3, 7)}


@dataclass(frozen=True, slots=True)
class Evidence:
    """One note of a line. ``onset`` and ``end`` (the next onset) are in quarters from the start of the piece.

    ``metre`` is the metrical level up to the bar, ``grid`` the same with pairs, fours and eights of bars above it.
    ``own`` holds: begins every fourth bar, log2 of its length in quarters, is the first degree, is the third or fifth,
    approached and left by step, ends a slur, ends the line. ``supported`` is whether it is a tone of its chord.
    """

    id: str
    onset: float
    end: float
    metre: int
    grid: int
    own: tuple[float, ...]
    supported: bool


def gather_evidence(
    score: Score,
    harmonies: Sequence[Harmony],
    readings: Mapping[str, NoteReading],
    lines: Sequence[tuple[LineName, tuple[str, ...]]],
) -> Iterator[list[Evidence]]:
    """The evidence for each line that has notes, graces left out; of notes with one onset the first stands."""
    by_id = {note.id: note for note in score.notes}
    hypermetre = _hypermetre(score)
    for _, chain in lines:
        notes: list[Note] = []
        for name in chain:
            note = by_id[name]
            if not note.grace and note.duration and not (notes and notes[-1].onset == note.onset):
                notes.append(note)
        if notes:
            yield _line(score, harmonies, readings, notes, hypermetre)


def _line(
    score: Score,
    harmonies: Sequence[Harmony],
    readings: Mapping[str, NoteReading],
    notes: Sequence[Note],
    hypermetre: Sequence[int],
) -> list[Evidence]:
    quarter = score.ticks_per_quarter
    signature = _key_of_signature(score, notes[-1])
    keys: dict[str, tuple[int, tuple[int, int]]] = {}
    found: list[Evidence] = []
    position = 0
    for i, note in enumerate(notes):
        while position + 1 < len(harmonies) and harmonies[position].end <= note.onset:
            position += 1
        name = harmonies[position].key if harmonies else None
        tonic, triad = keys.setdefault(name, _key(name)) if name else signature
        degree = (note.pitch.pitch_class - tonic) % 12
        before, after = notes[i - 1] if i else None, notes[i + 1] if i + 1 < len(notes) else None
        end = after.onset if after else note.end
        level = metrical_level(score, note.onset)
        above = hypermetre[score.bar_at(note.onset).index] if level == BAR else 0
        own = (
            float(above >= 2),
            math.log2((end - note.onset) / quarter),
            float(degree == 0),
            float(degree in triad),
            float(_step(before, note) and _step(note, after)),
            float(note.slur_end),
            float(after is None),
        )
        reading = readings.get(note.id)
        chord = harmonies[position].pitch_classes if harmonies else None
        supported = bool(chord) and reading is not None and reading.function == "chord tone"
        found.append(Evidence(note.id, note.onset / quarter, end / quarter, level, level + above, own, supported))
    return found


def _step(one: Note | None, other: Note | None) -> bool:
    return one is not None and other is not None and 0 < abs(one.midi - other.midi) <= 2


def _hypermetre(score: Score) -> list[int]:
    """For each bar how often its place can be halved, up to 3: 3 for the first whole bar and every eighth after it."""
    first = int(bool(score.bars) and score.bars[0].length < score.bars[min(1, len(score.bars) - 1)].length)
    places = [bar.index - first for bar in score.bars]
    return [3 if place % 8 == 0 else 2 if place % 4 == 0 else 1 if place % 2 == 0 else 0 for place in places]


def _key(name: str) -> tuple[int, tuple[int, int]]:
    """Tonic and the other degrees of its triad, in semitones above it, of a key such as ``F# minor``."""
    fifths, mode = key_of(name)
    return 7 * fifths % 12, _TRIADS[mode]


def _key_of_signature(score: Score, last: Note) -> tuple[int, tuple[int, int]]:
    """Where no key is known: the major key of the signature, or its relative minor if the line ends on that."""
    major = 7 * score.bar_at(last.onset).fifths % 12
    minor = (major + 9) % 12
    return (minor, _TRIADS["minor"]) if last.pitch.pitch_class == minor else (major, _TRIADS["major"])
