"""How each note of a score is heard: in which chord, foreign to it or not, from where and to where, as which kind.

A note is foreign to its chord exactly when the chord, at the note's onset, does not hold its pitch class. What
surrounds it ``neighbours`` finds. A line is first the note's own voice; only what that leaves unexplained is looked for
in lines that figuration hides. A note struck again is one note: it is approached as the first and left as the last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from sitegen.analysis.functions.neighbours import Lines, Surroundings, move, turn_of
from sitegen.analysis.functions.table import HELD, LEAP, NONE, STEP, Definition
from sitegen.analysis.nouns import Function, Harmony, harmony_index
from sitegen.score import Note, Score
from sitegen.score.metre import accent, beat_ticks

REPEATS = 8
"""How many strikes of one pitch are followed as one note."""
ON_BEATS = 2
"""The last of the values of ``accent`` that are beats."""


class Hearing:
    """The notes of a score among their chords and lines; ``said`` are functions that the teacher has given to some."""

    def __init__(self, score: Score, harmonies: Sequence[Harmony], said: Mapping[str, Function]) -> None:
        self._score, self._harmonies, self._said = score, harmonies, said
        self._lines = Lines(score)
        self._chord = {note.id: harmony_index(harmonies, note.onset) for note in score.notes}

    def _harmony(self, note: Note) -> Harmony | None:
        return self._harmonies[self._chord[note.id]] if self._harmonies else None

    def _foreign(self, note: Note) -> bool:
        if self._said and note.id in self._said:
            return self._said[note.id] != "chord tone"
        harmony = self._harmony(note)
        return harmony is None or note.pitch.pitch_class not in harmony.pitch_classes

    def _under(self, note: Note) -> Iterator[Harmony]:
        """The chords that follow while the note still sounds."""
        for place in range(self._chord[note.id] + 1, len(self._harmonies)):
            if self._harmonies[place].onset >= note.end:
                return
            yield self._harmonies[place]

    def _ways_to_hear(self, note: Note) -> Iterator[Surroundings]:
        """The note in its own voice, then in the lines that figuration may hide."""
        lines = self._lines
        start, before = self._beyond(note, lines.before)
        _, after = self._beyond(note, lines.after)
        yield self._seen(note, start, before, after)
        hidden_start, hidden_before = self._beyond(note, lines.hidden_before)
        _, hidden_after = self._beyond(note, lines.hidden_after)
        leaps_in, leaps_out = move(before, note) in (*LEAP, NONE), move(note, after) in (*LEAP, NONE)
        if leaps_out and hidden_after is not None:
            yield self._seen(note, start, before, hidden_after)
        if leaps_in and hidden_before is not None:
            yield self._seen(note, hidden_start, hidden_before, after)
        if leaps_in and leaps_out and hidden_before is not None and hidden_after is not None:
            yield self._seen(note, hidden_start, hidden_before, hidden_after)

    def _beyond(self, note: Note, step: Callable[[Note], Note | None]) -> tuple[Note, Note | None]:
        """The last of the strikes of this pitch along ``step`` that are foreign as well, and the note beyond."""
        last, found = note, step(note)
        for _ in range(REPEATS):
            if found is None or found.midi != note.midi or not self._foreign(found):
                break
            last, found = found, step(found)
        return last, found

    def _seen(self, note: Note, start: Note, before: Note | None, after: Note | None) -> Surroundings:
        approach, departure = move(before, note), move(note, after)
        following = next(self._under(note), None)
        if following is not None and note.pitch.pitch_class in following.pitch_classes:
            departure = HELD
        harmony = self._harmony(start)
        strikes = harmony is not None and harmony.onset == start.onset
        accented = True
        if after is not None:
            weights = accent(self._score, start.onset), accent(self._score, after.onset)
            longer = note.duration > after.duration
            accented = weights[0] < weights[1] or (weights[0] == weights[1] and longer) or strikes
        return Surroundings(note, before, after, approach, departure, accented)

    def _fits(self, definition: Definition, seen: Surroundings) -> bool:
        before, after = seen.before, seen.after
        if seen.approach not in definition.approach or seen.departure not in definition.departure:
            return False
        if definition.accented is not None and definition.accented != seen.accented:
            return False
        if definition.prepared and (before is None or self._foreign(before)):
            return False
        if definition.resolved and seen.departure != HELD and not self._resolves(seen):
            return False
        if definition.arrives and (after is None or self._chord[after.id] == self._chord[seen.note.id]):
            return False
        if definition.bass and not self._lines.is_bass(seen.note):
            return False
        if definition.group and not self._in_group(seen):
            return False
        if definition.weighty and not self._is_weighty(seen):
            return False
        return not definition.turn or definition.turn == turn_of(seen)

    def _resolves(self, seen: Surroundings) -> bool:
        """Whether the note after belongs to its chord, or goes on in the same direction to one that does."""
        if seen.after is None:
            return False
        if not self._foreign(seen.after):
            return True
        further = self._lines.after(seen.after)
        return (
            further is not None
            and seen.departure in STEP
            and move(seen.after, further) == seen.departure
            and not self._foreign(further)
        )

    def _is_weighty(self, seen: Surroundings) -> bool:
        """Whether a note is struck on a beat and outlasts its resolution, or as long as a beat what it came from."""
        note, before, after = seen.note, seen.before, seen.after
        if before is None or after is None or accent(self._score, note.onset) > ON_BEATS:
            return False
        whole_beat = note.duration >= beat_ticks(self._score, note.onset)
        return note.duration > after.duration or (whole_beat and note.duration > before.duration)

    def _in_group(self, seen: Surroundings) -> bool:
        """Two foreign notes a third apart, above and below the one pitch that comes before and after them."""
        first, second = seen.before, seen.after
        if first is None or second is None:
            return False
        if seen.approach in STEP:
            other, outside = second, self._lines.after(second)
            pitch = first.midi
        else:
            other, outside = first, self._lines.before(first)
            pitch = second.midi
        return (
            outside is not None
            and outside.midi == pitch
            and self._foreign(other)
            and abs(other.midi - seen.note.midi) <= 4
            and (other.midi - pitch) * (seen.note.midi - pitch) < 0
        )
