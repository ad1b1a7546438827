"""What the preference rules of a time-span reduction ask of each note of a line: place in the metre, length, degree."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from sitegen.analysis.chords import key_of
from sitegen.analysis.nouns import Harmony, LineName, NoteReading
from sitegen.score import Note, Score
from sitegen.score.metre import BAR, metrical_level

_LEADING = 11  # semitones of the leading note above its tonic
_OCTAVE = 12


@dataclass(frozen=True, slots=True)
class NoteEvidence:
    """One note of a line. ``onset`` and ``end`` (the next onset) are in quarters from the start of the piece, ``tick``
    is the onset in ticks.

    ``grid`` is the metrical level with pairs, fours and eights of bars above it, ``supported`` whether the note is a
    tone of its chord. The rest are features, each in the order of a table of ``weights``: ``own`` of
    ``HEAD_NOTE``, ``own_by_span`` of ``HEAD_NOTE_BY_SPAN``, ``opening`` of ``SPLIT_NOTE``, ``opening_by_span`` of
    ``SPLIT_NOTE_BY_SPAN``.
    """

    id: str
    tick: int
    onset: float
    end: float
    midi: int
    grid: int
    supported: bool
    own: tuple[float, ...]
    own_by_span: tuple[float, ...]
    opening: tuple[float, ...]
    opening_by_span: tuple[float, ...]


def gather_evidence(
    score: Score,
    harmonies: Sequence[Harmony],
    readings: Mapping[str, NoteReading],
    lines: Sequence[tuple[LineName, tuple[str, ...]]],
) -> Iterator[list[NoteEvidence]]:
    """The evidence for each line that has notes, graces left out; of notes with one onset the first stands.

    A line that stands alone is read by its key signature: the harmonies heard in it are made of its own notes.
    """
    by_id = {note.id: note for note in score.notes}
    if len(lines) == 1:
        harmonies = ()
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
) -> list[NoteEvidence]:
    quarter = score.ticks_per_quarter
    signature = _tonic_of_signature(score, notes[-1])
    tonics: dict[str, int] = {}
    found: list[NoteEvidence] = []
    ends = [note.onset for note in notes[1:]] + [notes[-1].end]
    levels = [metrical_level(score, note.onset) for note in notes]
    above = [
        hypermetre[score.bar_at(n.onset).index] if level == BAR else 0 for n, level in zip(notes, levels, strict=True)
    ]
    position, slurred = 0, False
    for i, note in enumerate(notes):
        while position + 1 < len(harmonies) and harmonies[position].end <= note.onset:
            position += 1
        key = harmonies[position].key if harmonies else None
        degree = (note.midi - (tonics.setdefault(key, _tonic(key)) if key else signature)) % _OCTAVE
        before, after = notes[i - 1] if i else None, notes[i + 1] if i + 1 < len(notes) else None
        lasts, lasted = ends[i] - note.onset, note.onset - before.onset if before else 0
        length = math.log2(lasts / quarter)
        pause = math.log2(lasted / quarter) if before else 0.0
        leap = min(_OCTAVE, abs(note.midi - before.midi)) / _OCTAVE if before else 0.0
        leads = after is not None and levels[i] + above[i] < levels[i + 1] + above[i + 1]
        arrives = _step(before, note)
        own = (
            levels[i],
            above[i] >= 2,
            length,
            arrives and _step(note, after),
            arrives,
            after is not None and note.midi - after.midi == 1,
            degree == _LEADING,
            after is not None and lasts < ends[i + 1] - after.onset,
            after is not None and note.end < after.onset,
            note.slur_end,
            after is None,
        )
        reading = readings.get(note.id)
        chord = harmonies[position].pitch_classes if harmonies else None
        found.append(
            NoteEvidence(
                id=note.id,
                tick=note.onset,
                onset=note.onset / quarter,
                end=ends[i] / quarter,
                midi=note.midi,
                grid=levels[i] + above[i],
                supported=bool(chord) and reading is not None and reading.function == "chord tone",
                own=tuple(map(float, own)),
                own_by_span=(float(levels[i]), length, float(degree == 0)),
                opening=(float(levels[i]), pause, float(lasted > lasts), float(slurred), leap),
                opening_by_span=(pause, float(lasted > lasts and leads)),
            )
        )
        slurred = note.slur_start or (slurred and not note.slur_end)
    return found


def _step(one: Note | None, other: Note | None) -> bool:
    return one is not None and other is not None and 0 < abs(one.midi - other.midi) <= 2


def _hypermetre(score: Score) -> list[int]:
    """For each bar how often its place can be halved, up to 3: 3 for the first whole bar and every eighth after it."""
    first = int(bool(score.bars) and score.bars[0].length < score.bars[min(1, len(score.bars) - 1)].length)
    places = [bar.index - first for bar in score.bars]
    return [3 if place % 8 == 0 else 2 if place % 4 == 0 else 1 if place % 2 == 0 else 0 for place in places]


def _tonic(name: str) -> int:
    """The pitch class that a key such as ``F# minor`` is built on."""
    fifths, _ = key_of(name)
    return 7 * fifths % _OCTAVE


def _tonic_of_signature(score: Score, last: Note) -> int:
    """Where no key is known: that of the signature's major key, or of its relative minor if the line ends on that."""
    major = 7 * score.bar_at(last.onset).fifths % _OCTAVE
    minor = (major + 9) % _OCTAVE
    return minor if last.pitch.pitch_class == minor else major
