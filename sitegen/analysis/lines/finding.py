"""Melody, bass and inner lines as chains of notes, also where a figure hides them.

The melody of the hands is searched for as the best line through their voices (``melody``); a singer's staff is the
melody where she sings, and so is all of a staff that stands alone. The bass is the lowest note of each onset of the
lower hand, and in a figure the lowest note of each harmony. Where the hand plays a figure an inner line is heard in its
peaks, one a beat (compound melody: Piston, Counterpoint, 1947).
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from sitegen.analysis.lines.melody import find_melody
from sitegen.analysis.nouns import Harmony, LineName, NoteReading, Texture, harmony_index
from sitegen.analysis.texture import of_family
from sitegen.score import Note, Score
from sitegen.score.metre import beat_ticks

FIGURES = of_family("figures")
AFTER_BEATS = of_family("patterns")
ACCOMPANIMENT = AFTER_BEATS | {"repeated chords"}

NamedLine = tuple[LineName, tuple[str, ...]]
SaidLines = Mapping[str, LineName | None]
_NOTHING_SAID: SaidLines = {}


def find_lines(
    score: Score,
    harmonies: Sequence[Harmony],
    readings: Mapping[str, NoteReading],
    textures: Sequence[Texture],
    said: SaidLines = _NOTHING_SAID,
) -> tuple[NamedLine, ...]:
    """The melody, the bass and the inner lines (one a staff), each a chain of note ids in order of onset.

    A note is in one line at most, and no line has two notes of one onset. Lines without notes are left out. ``said``
    are the lines that the teacher gives to notes (None: none); of two notes of one onset that are given to the melody,
    the bass, or the inner line of one staff, the later in the score has it.
    """
    return _Weaver(score, harmonies, textures, said).weave()


class _Weaver:
    """Holds what is looked up at every step: the notes of each bar and staff, and the texture and harmony at a tick."""

    def __init__(
        self, score: Score, harmonies: Sequence[Harmony], textures: Sequence[Texture], said: SaidLines
    ) -> None:
        self.score = score
        self.said: dict[LineName, list[Note]] = {"melody": [], "bass": [], "inner": []}
        for note in score.sounding():
            name = said.get(note.id)
            if name is not None:
                self.said[name].append(note)
        self.harmonies = harmonies
        self.textures: dict[int, tuple[list[int], list[str]]] = defaultdict(lambda: ([], []))
        for texture in textures:
            self.textures[texture.staff][0].append(texture.onset)
            self.textures[texture.staff][1].append(texture.kind)
        self.notes: dict[tuple[int, int], list[Note]] = defaultdict(list)
        for note in score.sounding():
            self.notes[note.bar, note.staff].append(note)
        self.hands = [s.number for s in score.staves if s.hand is not None]
        self.singers = [s.number for s in score.staves if s.hand is None]
        self.spoken_of = said.keys()
        self.taken: set[str] = set(said)

    def weave(self) -> tuple[NamedLine, ...]:
        melody = self._melody()
        self.taken.update(note.id for note in melody)
        bass: list[Note] = []
        inner: dict[int, list[Note]] = defaultdict(list)
        for bar in self.score.bars:
            if len(self.score.staves) > 1 and self.hands:
                self._take(bass, self._bottom(bar.index, self.hands[-1]))
            for staff in self.hands:
                self._take(inner[staff], self._inside(bar.index, staff, lowest=staff != self.hands[-1]))
        if self.spoken_of:
            bass = _with(bass, self.said["bass"])
            for staff in {*self.hands, *(note.staff for note in self.said["inner"])}:
                inner[staff] = _with(inner[staff], [n for n in self.said["inner"] if n.staff == staff])
        lines: list[NamedLine] = [("melody", _ids(melody)), ("bass", _ids(bass))]
        lines += [("inner", _ids(inner[staff])) for staff in sorted({*self.hands, *inner})]
        return tuple(line for line in lines if line[1])

    def _melody(self) -> list[Note]:
        """A singer's line where she sings, else the best line through the hands; of one staff alone, its skyline."""
        sung: dict[int, list[Note]] = {}
        for bar in self.score.bars:
            staff = next((staff for staff in self.singers if self.notes[bar.index, staff]), None)
            if staff is not None:
                sung[bar.index] = _skyline([n for n in self.notes[bar.index, staff] if n.id not in self.spoken_of])
        notes = [n for n in self._may_sing() if n.bar not in sung and n.staff in self.hands and not n.implied]
        if len(self.score.staves) == 1:
            played = _skyline(notes)
        else:
            sure = {note.id for note in self.said["melody"]}
            played = find_melody(self.score, notes, lambda n: self._texture(n.staff, n.onset) in ACCOMPANIMENT, sure)
        melody = sorted([*played, *(note for line in sung.values() for note in line)], key=_by_onset)
        return _with(melody, self.said["melody"]) if self.spoken_of else melody

    def _may_sing(self) -> list[Note]:
        """The notes that the melody may have: not those that the teacher gives elsewhere, nor what is struck with one
        that she gives to it."""
        onsets = {note.onset for note in self.said["melody"]}
        sure = {note.id for note in self.said["melody"]}
        return [
            n for n in self.score.sounding() if n.id in sure or (n.onset not in onsets and n.id not in self.spoken_of)
        ]

    def _take(self, line: list[Note], more: Sequence[Note]) -> None:
        """Adds notes to a line, one for each onset, in order."""
        for note in more:
            if not line or note.onset > line[-1].onset:
                line.append(note)
                self.taken.add(note.id)

    def _bottom(self, bar: int, staff: int) -> list[Note]:
        """The bass of a staff in a bar: a figure's lowest note in each harmony; else the lowest, less after-beats."""
        free = [n for n in self.notes[bar, staff] if n.id not in self.taken]
        lowest = _groundline(free)
        kept: list[Note] = []
        floors: dict[int, int] = {}
        for note in free:
            harmony = self._harmony(note.onset)
            floors[harmony] = min(floors.get(harmony, note.midi), note.midi)
        classes: dict[int, set[int]] = defaultdict(set)
        for note in free:
            classes[note.onset].add(note.midi % 12)
        for note in lowest:
            kind = self._texture(staff, note.onset)
            if kind in FIGURES | {"melody and figuration"} and note.midi > floors[self._harmony(note.onset)]:
                continue
            if kind in AFTER_BEATS and len(classes[note.onset]) > 1 and kept and note.midi > kept[-1].midi + 2:
                continue
            kept.append(note)
        return kept

    def _inside(self, bar: int, staff: int, lowest: bool) -> list[Note]:
        """The inner line of a staff in a bar: of what is left the lowest note (upper hand) or the highest (lower hand).

        In a figure it is the peak of each beat, where that is a new pitch.
        """
        left = [n for n in self.notes[bar, staff] if n.id not in self.taken and not self._doubles(bar, n)]
        figure = [n for n in left if self._texture(staff, n.onset) in FIGURES | AFTER_BEATS | {"melody and figuration"}]
        plain = [n for n in left if self._texture(staff, n.onset) in ("chordal", "contrapuntal", "melody")]
        line = _groundline(plain) if lowest else _skyline(plain)
        peaks = self._peaks(figure)
        new = [peak for i, peak in enumerate(peaks) if not i or peaks[i - 1].midi != peak.midi]
        return sorted(line + new, key=_by_onset)

    def _doubles(self, bar: int, note: Note) -> bool:
        """Whether a note of a line, struck with it on its staff, has its pitch class."""
        return any(
            other.onset == note.onset and other.id in self.taken and (other.midi - note.midi) % 12 == 0
            for other in self.notes[bar, note.staff]
        )

    def _peaks(self, figure: Sequence[Note]) -> list[Note]:
        """The first highest note of each beat."""
        best: dict[int, Note] = {}
        for note in figure:
            beat = self.score.place_in_metre(note.onset) // beat_ticks(self.score, note.onset)
            if beat not in best or note.midi > best[beat].midi:
                best[beat] = note
        return sorted(best.values(), key=_by_onset)

    def _texture(self, staff: int, tick: int) -> str:
        onsets, kinds = self.textures[staff]
        place = bisect_right(onsets, tick) - 1
        return kinds[place] if place >= 0 else "melody"

    def _harmony(self, tick: int) -> int:
        return harmony_index(self.harmonies, tick)


def _skyline(notes: Sequence[Note]) -> list[Note]:
    """The highest note of each onset, less those below a note of the line that is still held."""
    return _outline(notes, 1)


def _groundline(notes: Sequence[Note]) -> list[Note]:
    """The lowest note of each onset, less those above a note of the line that is still held."""
    return _outline(notes, -1)


def _outline(notes: Sequence[Note], way: int) -> list[Note]:
    best: dict[int, Note] = {}
    for note in notes:
        other = best.get(note.onset)
        if other is None or (way * note.midi, note.duration) > (way * other.midi, other.duration):
            best[note.onset] = note
    line: list[Note] = []
    for onset in sorted(best):
        note = best[onset]
        if not line or line[-1].end <= onset or way * note.midi > way * line[-1].midi:
            line.append(note)
    return line


def _by_onset(note: Note) -> tuple[int, int]:
    return note.onset, note.midi


def _with(line: Iterable[Note], said: Sequence[Note]) -> list[Note]:
    """A line with the notes that the teacher gives to it, each in place of what it has at its onset."""
    given = {note.onset: note for note in said}
    return sorted([*(note for note in line if note.onset not in given), *given.values()], key=_by_onset)


def _ids(line: Sequence[Note]) -> tuple[str, ...]:
    return tuple(note.id for note in line)
