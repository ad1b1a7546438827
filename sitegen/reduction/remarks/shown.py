"""What a stage shows to whoever looks at its notes: its top, its bass, its chords, and what it has that the stage
before had not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from operator import attrgetter

from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Stage, StageNote

CHORD = 3  # notes


@dataclass(frozen=True, slots=True)
class Struck:
    """What is struck together at one tick, from low to high."""

    onset: int
    notes: tuple[StageNote, ...]

    @property
    def names(self) -> frozenset[int]:
        """The pitch classes, C = 0."""
        return frozenset(note.midi % 12 for note in self.notes)


@dataclass(frozen=True, slots=True)
class Shown:
    """A stage with the stage before it (None for the first) and, in order of onset: ``melody``, the notes of the tune
    that nothing sounds above; ``bass``, the notes of the left hand that nothing sounds below; ``accompaniment``, what
    is struck together besides the tune; ``chords``, what of that has three notes or more; ``new``, the notes of the
    score that the stage before did not keep."""

    material: Material
    stage: Stage
    before: Stage | None
    notes: tuple[StageNote, ...]
    melody: tuple[StageNote, ...]
    bass: tuple[StageNote, ...]
    accompaniment: tuple[Struck, ...]
    new: tuple[StageNote, ...]

    @property
    def chords(self) -> tuple[Struck, ...]:
        """The chords of three notes or more."""
        return tuple(struck for struck in self.accompaniment if len(struck.notes) >= CHORD)

    def bar(self, note: StageNote) -> int:
        """The index of the bar in which a note is struck."""
        return self.material.score.bar_at(note.onset).index

    def foreign(self, note: StageNote) -> bool:
        """Whether a note does not belong to the chord that sounds when it is struck."""
        names = self.material.harmony(note.onset).pitch_classes
        return bool(names) and note.midi % 12 not in names

    def of_hand(self, hand: str) -> Iterator[Struck]:
        """What a hand strikes together."""
        mine = (note for note in self.notes if self.hand(note) == hand)
        return (Struck(onset, tuple(chord)) for onset, chord in groupby(mine, key=lambda note: note.onset))

    def hand(self, note: StageNote) -> str:
        """The hand that plays a note; empty for none."""
        return note.hand or self.material.score.hand_of(note.staff) or ""


def shown(material: Material, stage: Stage, before: Stage | None) -> Shown:
    """What ``stage`` shows after the stage ``before``."""
    notes = tuple(sorted((n for n in stage.notes if not n.grace), key=lambda n: (n.onset, n.midi)))
    kept = {note.sources[0] for note in before.notes} if before else set()
    tops, bottoms = _edges(notes)
    melody = tuple(n for n in notes if n.id in tops and material.roles.get(n.sources[0]) == "melody")
    hands = {n.id: n.hand or material.score.hand_of(n.staff) for n in notes}
    bass = tuple(n for n in notes if n.id in bottoms and hands[n.id] == "left")
    rest = (n for n in notes if material.roles.get(n.sources[0]) != "melody")
    accompaniment = tuple(Struck(onset, tuple(chord)) for onset, chord in groupby(rest, key=lambda n: n.onset))
    new = tuple(n for n in stage.notes if n.sources[0] not in kept)
    return Shown(material, stage, before, notes, melody, bass, accompaniment, new)


def _edges(notes: Sequence[StageNote]) -> tuple[set[str], set[str]]:
    """The ids of the notes above which, and below which, nothing sounds when they are struck."""
    tops: set[str] = set()
    bottoms: set[str] = set()
    sounding: list[StageNote] = []
    for onset, chord in groupby(notes, key=attrgetter("onset")):
        sounding = [note for note in sounding if note.end > onset]
        struck = list(chord)
        sounding += struck
        heights = [note.midi for note in sounding]
        low, high = min(heights), max(heights)
        for note in struck:
            if note.midi == high:
                tops.add(note.id)
            if note.midi == low:
                bottoms.add(note.id)
    return tops, bottoms


def moving(line: Iterable[StageNote]) -> list[StageNote]:
    """A line in which a note that is struck again counts as one, as long as both."""
    groups = (list(notes) for _, notes in groupby(line, key=lambda note: note.midi))
    return [
        replace(notes[0], duration=notes[-1].end - notes[0].onset) if len(notes) > 1 else notes[0] for notes in groups
    ]
