"""Melody, bass and inner lines as chains of notes, also where a figure hides them.

The melody is the skyline of the staff that carries it (the highest note of each onset: Uitdenbogerd & Zobel,
"Manipulation of music for melody matching", ACM Multimedia 1998), but a note still held above hides what moves below
it; where the hand plays a figure the melody is heard in its peaks, one a beat (compound melody: Piston, Counterpoint,
1947). The bass is the mirror of that, and in a figure the lowest note of each harmony. A singer's staff is the melody;
a left hand that plays a tune under figuration has the melody too.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import pairwise

from sitegen.analysis.metre import beat_ticks
from sitegen.analysis.nouns import Harmony, LineName, NoteReading, Texture
from sitegen.score import Note, Score

FIGURES = frozenset({"broken chord", "Alberti bass", "arpeggio", "tremolo"})
AFTER_BEATS = frozenset({"bass and chord", "waltz bass", "march bass", "stride bass"})
TUNES = frozenset({"melody", "octave doubling", "contrapuntal", "melody and figuration"})
BACKGROUND = FIGURES | {"repeated chords", "silent"}
TUNE_STEPS, TUNE_RATE = 0.45, 0.75  # share of steps, and attacks a beat, that make a left hand's line a tune

Line = tuple[LineName, tuple[str, ...]]


def find_lines(
    score: Score,
    harmonies: Sequence[Harmony],
    readings: Mapping[str, NoteReading],
    textures: Sequence[Texture],
) -> tuple[Line, ...]:
    """The melody, the bass and the inner lines (one a staff), each a chain of note ids in order of onset.

    A note is in one line at most, and no line has two notes of one onset. Lines without notes are left out.
    """
    return _Weaver(score, harmonies, textures).weave()


class _Weaver:
    """Holds what is looked up at every step: the notes of each bar and staff, and the texture and harmony at a tick."""

    def __init__(self, score: Score, harmonies: Sequence[Harmony], textures: Sequence[Texture]) -> None:
        self.score = score
        self.harmony_onsets = [h.onset for h in harmonies]
        self.textures: dict[int, tuple[list[int], list[str]]] = defaultdict(lambda: ([], []))
        for texture in textures:
            self.textures[texture.staff][0].append(texture.onset)
            self.textures[texture.staff][1].append(texture.kind)
        self.notes: dict[tuple[int, int], list[Note]] = defaultdict(list)
        for note in score.sounding():
            self.notes[note.bar, note.staff].append(note)
        self.hands = [s.number for s in score.staves if s.hand is not None]
        self.singers = [s.number for s in score.staves if s.hand is None]
        self.taken: set[str] = set()

    def weave(self) -> tuple[Line, ...]:
        melody: list[Note] = []
        bass: list[Note] = []
        inner: dict[int, list[Note]] = defaultdict(list)
        for bar in self.score.bars:
            carrier = self._carrier(bar.index)
            if carrier is not None:
                self._take(melody, self._top(bar.index, carrier))
            if len(self.score.staves) > 1 and self.hands:
                self._take(bass, self._bottom(bar.index, self.hands[-1]))
            for staff in self.hands:
                self._take(inner[staff], self._inside(bar.index, staff, lowest=staff != self.hands[-1]))
        lines: list[Line] = [("melody", _ids(melody)), ("bass", _ids(bass))]
        lines += [("inner", _ids(inner[staff])) for staff in self.hands]
        return tuple(line for line in lines if line[1])

    def _take(self, line: list[Note], more: Sequence[Note]) -> None:
        """Adds notes to a line, one for each onset, in order."""
        for note in more:
            if not line or note.onset > line[-1].onset:
                line.append(note)
                self.taken.add(note.id)

    def _carrier(self, bar: int) -> int | None:
        """The staff that has the melody in ``bar``: a singer's, else the upper hand's unless the lower has the tune."""
        for staff in self.singers:
            if self.notes[bar, staff]:
                return staff
        if not self.hands:
            return None
        upper, lower = self.hands[0], self.hands[-1]
        if upper == lower or not self.notes[bar, lower]:
            return upper
        middle = self.score.bars[bar].onset + self.score.bars[bar].length // 2
        if self._texture(upper, middle) in BACKGROUND and self._texture(lower, middle) in TUNES:
            moves = [abs(b.midi - a.midi) for a, b in pairwise(_skyline(self.notes[bar, lower])) if a.midi != b.midi]
            beats = self.score.bars[bar].length / beat_ticks(self.score, middle)
            steps = sum(move <= 2 for move in moves) / max(1, len(moves))
            if steps >= TUNE_STEPS and len(moves) + 1 >= TUNE_RATE * beats:
                return lower
        return upper

    def _top(self, bar: int, staff: int) -> list[Note]:
        """The melody of a staff in a bar: the peaks of a figure, the slow voice over one, else the skyline.

        A tune on one staff, or one that is sung, is no accompaniment even where it moves like one.
        """
        if len(self.score.staves) == 1 or staff in self.singers:
            return _skyline(self.notes[bar, staff])
        figure = [n for n in self.notes[bar, staff] if self._texture(staff, n.onset) in FIGURES]
        both = [n for n in self.notes[bar, staff] if self._texture(staff, n.onset) == "melody and figuration"]
        plain = [n for n in self.notes[bar, staff] if self._texture(staff, n.onset) not in FIGURES and n not in both]
        return sorted(_skyline(plain) + _skyline(_slow_voice(both)) + self._peaks(figure), key=_by_onset)

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
        return bisect_right(self.harmony_onsets, tick)


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


def _slow_voice(notes: Sequence[Note]) -> list[Note]:
    """The voices but the busiest one; all, if there is but one."""
    onsets: dict[int, set[int]] = defaultdict(set)
    for note in notes:
        onsets[note.voice].add(note.onset)
    if len(onsets) < 2:
        return list(notes)
    busiest = max(onsets, key=lambda voice: (len(onsets[voice]), voice))
    return [note for note in notes if note.voice != busiest]


def _by_onset(note: Note) -> tuple[int, int]:
    return note.onset, note.midi


def _ids(line: Sequence[Note]) -> tuple[str, ...]:
    return tuple(note.id for note in line)
