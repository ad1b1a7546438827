"""The positions of a hand through a figure: which notes lie under it at once, beat by beat."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from sitegen.analysis.metre import beat_start, beat_ticks
from sitegen.reduction.material import Material
from sitegen.reduction.voicing import voiced, width
from sitegen.score import Note


@dataclass(frozen=True, slots=True)
class Position:
    """Notes of a figure in order, and those of them that are struck for all, from low to high (none: no chord tone)."""

    heads: tuple[Note, ...]
    members: tuple[Note, ...]


def find_positions(
    material: Material,
    staff: int,
    notes: Sequence[Note],
    span: int,
    bass: Note | None,
    elsewhere: Mapping[int, Collection[int]],
    kept: Collection[str],
) -> list[Position]:
    """Cut the figure of one staff and harmony into positions of ``span`` semitones.

    Beats go together as long as they lie under the hand in one bar. A beat that is too wide is voiced for the hand
    where that only leaves out doublings (``elsewhere`` are the pitch classes that the other hand strikes in each beat,
    by its tick; ``kept`` the ids of notes that stay); else it is cut. The first position ends where it would hold the
    ``bass`` with something else below it.
    """
    beats: list[Position] = []
    score = material.score
    for beat, chord in beats_of(material, notes):
        heads = chord_of(material, chord)
        beat_end = beat + beat_ticks(score, beat)
        if heads:
            heads = voiced(heads, anchors_of(material, staff, heads, beat_end), span, elsewhere.get(beat, ()), kept)
        if width(heads) <= span:
            beats.append(Position(heads, chord))
        else:
            later = {note.midi for note in notes if note.onset >= beat_end}
            beats += [Position(chord_of(material, part), whole) for part, whole in _in_parts(chord, span, later)]
    found: list[Position] = []
    start = 0
    while start < len(beats):
        end = start + 1
        joined = beats[start]
        while end < len(beats) and (more := _join(material, staff, beats[start : end + 1], span, kept)) is not None:
            joined = more
            end += 1
        while not found and bass is not None and end > start + 1 and _off_its_bass(joined, bass):
            end -= 1
            joined = _join(material, staff, beats[start:end], span, kept) or beats[start]
        if not found and bass is not None and _off_its_bass(joined, bass):
            later = {head.midi for beat in beats[end:] for head in beat.heads}
            found += _before_the_bass(material, joined, bass, later)
        else:
            found.append(joined)
        start = end
    return found


def beats_of(material: Material, notes: Sequence[Note]) -> Iterator[tuple[int, tuple[Note, ...]]]:
    """The notes beat by beat, each beat with the tick at which it begins."""
    for beat, chord in groupby(notes, key=lambda note: beat_start(material.score, note.onset)):
        yield beat, tuple(chord)


def chord_of(material: Material, members: Sequence[Note]) -> tuple[Note, ...]:
    """The chord tones among ``members``, each pitch by its first note (of two voices the longer), from low to high."""
    heads: dict[int, Note] = {}
    for note in members:
        if material.is_chord_tone(note):
            before = heads.setdefault(note.midi, note)
            if before.onset == note.onset and before.duration < note.duration:
                heads[note.midi] = note
    return tuple(heads[midi] for midi in sorted(heads))


def anchors_of(material: Material, staff: int, heads: Sequence[Note], until: int) -> list[Note]:
    """What a hand cannot give up while it holds a chord to the tick ``until``: the left hand's lowest note; the melody
    that the right hand sings meanwhile, else its highest."""
    if material.score.hand_of(staff) == "left":
        return [heads[0]]
    onset = min(head.onset for head in heads)
    return list(material.sung_between(staff, beat_start(material.score, onset), until)) or [heads[-1]]


def cut(notes: Sequence[Note], span: int) -> list[tuple[Note, ...]]:
    """Notes in parts that each lie within ``span`` semitones: as long as they can be, but of two parts the first note
    alone and then all others rather than one that is left over."""
    parts: list[list[Note]] = []
    for _, together in groupby(notes, key=lambda note: note.onset):
        chord = list(together)
        if parts and width([*parts[-1], *chord]) <= span:
            parts[-1].extend(chord)
        else:
            parts.append(chord)
    first = [note for note in notes if note.onset == notes[0].onset]
    rest = notes[len(first) :]
    is_bass = bool(rest) and max(n.midi for n in first) < min(n.midi for n in rest)
    if is_bass and len(parts) == 2 and len(parts[1]) == 1 and len(parts[0]) > len(first) and width(rest) <= span:
        return [tuple(first), tuple(rest)]
    return [tuple(part) for part in parts]


def _in_parts(
    chord: Sequence[Note], span: int, later: Collection[int]
) -> list[tuple[Sequence[Note], tuple[Note, ...]]]:
    """The notes of a beat that are struck at once, each part with those whose time it has: the first note alone, where
    all others come again ``later`` (MIDI numbers)."""
    first = [note for note in chord if note.onset == chord[0].onset]
    if width(first) <= span and all(note.midi in later for note in chord[len(first) :]):
        return [(first, tuple(chord))]
    return [(part, part) for part in cut(chord, span)]


def _join(
    material: Material, staff: int, beats: Sequence[Position], span: int, kept: Collection[str]
) -> Position | None:
    """Beats that follow each other as one position, None where they do not lie under the hand in one bar."""
    members = tuple(note for beat in beats for note in beat.members)
    heads = chord_of(material, [head for beat in beats for head in beat.heads])
    if len(beats) > 1 and (width(heads) > span or members[0].bar != members[-1].bar):
        return None
    sung = anchors_of(material, staff, heads, members[-1].end) if heads else []
    if len(beats) > 1 and width([*heads, *sung]) > span:
        heads = voiced(heads, sung, span, (), kept)
        if width([*heads, *sung]) > span:
            return None
    return Position(heads, members)


def _off_its_bass(position: Position, bass: Note) -> bool:
    """Whether a position would hold the bass with something else below it."""
    classes = [head.pitch.pitch_class for head in position.heads]
    return bass.pitch.pitch_class in classes and classes[0] != bass.pitch.pitch_class


def _before_the_bass(material: Material, position: Position, bass: Note, later: Collection[int]) -> list[Position]:
    """The notes up to where the bass comes in, or something below it, then the rest; where all of the rest is struck
    ``later`` too (MIDI numbers), what comes first has the whole time."""
    for tick in sorted({note.onset for note in position.members[1:]} - {position.members[0].onset}):
        before = tuple(note for note in position.members if note.onset < tick)
        after = position.members[len(before) :]
        so_far = chord_of(material, [note for note in position.members if note.onset <= tick])
        if _off_its_bass(Position(so_far, position.members), bass):
            first, rest = chord_of(material, before), chord_of(material, after)
            if {head.midi for head in rest} <= set(later):
                return [Position(first, position.members)]
            return [Position(first, before), Position(rest, after)]
    return [position]
