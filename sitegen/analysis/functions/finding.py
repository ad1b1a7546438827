"""The function of every note against the chord that sounds when it begins, and why.

A note is foreign to its chord exactly when the chord, at the note's onset, does not hold its pitch class; grace notes
are ornaments always. What kind of foreign note it is, ``table`` defines; ``neighbours`` says what
surrounds it. A line is first the note's own voice; only what that leaves unexplained is looked for in lines that
figuration hides. A note struck again is one note: it is approached as the first and left as the last of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from sitegen.analysis.chords import tone_names
from sitegen.analysis.functions.neighbours import Lines, Surroundings, move, turn_of
from sitegen.analysis.functions.reasons import CHORD_TONE, GRACE, GRACE_BEFORE, NO_HARMONY, because, explained
from sitegen.analysis.functions.table import (
    APPROACHED,
    DEFINITIONS,
    FIRST_BEAT,
    FREE,
    HELD,
    HELD_OVER,
    LEAP,
    NONE,
    OFF_BEAT,
    ON_BEAT,
    STEP,
    STEP_UP,
    SYNCOPATED,
    UNPREPARED,
    WEAK_BEAT,
    Definition,
)
from sitegen.analysis.nouns import Function, Harmony, NoteReading, Reason
from sitegen.analysis.readings import TEACHERS_READING
from sitegen.score import Note, Score
from sitegen.score.metre import beat_start, beat_ticks

_REPEATS = 8
"""How many strikes of one pitch are followed as one note."""
ON_BEATS = 2
"""The last of the levels of ``Lines.accent`` that are beats."""


_WITHOUT_GOAL = frozenset({"chord tone", "pedal note", "free"})
_NOTHING_SAID: Mapping[str, Function] = {}


def name_functions(
    score: Score, harmonies: Sequence[Harmony], said: Mapping[str, Function] = _NOTHING_SAID
) -> dict[str, NoteReading]:
    """One reading for every note of ``score``, by its id: ``function``, ``resolves_to``, ``held_as`` and ``why``.

    ``harmonies`` cover the score in order, as ``find_harmonies`` gives them; where they hold no chord (or there are
    none) the notes are ``free``. ``resolves_to`` is the next note of a chord that the line leads to; for a grace note
    the note it leads to. It is None where the line ends or leaps away, and for pedal notes.

    ``said`` are functions that the teacher has given to notes: what is called a chord tone belongs to its chord for all
    that is read around it, and what is called anything else is foreign to it.
    """
    reader = _Reader(score, harmonies, said)
    readings = {note.id: reader.read(note) for note in score.notes}
    return {id_: r if id_ in said else _led_on(id_, r, readings) for id_, r in readings.items()}


def _led_on(id_: str, reading: NoteReading, readings: dict[str, NoteReading]) -> NoteReading:
    """A foreign note that moves to another foreign note resolves where that one does."""
    target, steps = reading.resolves_to, 0
    while target is not None and steps < _REPEATS and readings[target].function not in ("chord tone", "ornament"):
        further = readings[target].resolves_to
        if further is None or further == id_:
            break
        target, steps = further, steps + 1
    return reading if target == reading.resolves_to else replace(reading, resolves_to=target)


class _Reader:
    """One pass over a score: chords and lines stay at hand."""

    def __init__(self, score: Score, harmonies: Sequence[Harmony], said: Mapping[str, Function]) -> None:
        self._score, self._harmonies, self._said = score, harmonies, said
        self._lines = Lines(score)
        self._chord: dict[str, int] = {}
        self._tones: dict[tuple[str, tuple[frozenset[int], int | None, str | None]], NoteReading] = {}
        self._heads: dict[int, list[Note]] = {}
        position = 0
        for note in score.notes:
            while position + 1 < len(harmonies) and harmonies[position].end <= note.onset:
                position += 1
            self._chord[note.id] = position
            if not note.grace:
                self._heads.setdefault(note.onset, []).append(note)

    def read(self, note: Note) -> NoteReading:
        if note.id in self._said:
            return self._as_said(note, self._said[note.id])
        if note.grace:
            return self._ornament(note)
        harmony = self._harmony(note)
        if harmony is None or not harmony.pitch_classes:
            return explained(NoteReading("free"), because(NO_HARMONY))
        if note.pitch.pitch_class in harmony.pitch_classes:
            return self._chord_tone(note, harmony)
        for seen in self._ways_to_hear(note):
            for definition in DEFINITIONS:
                if self._fits(definition, seen):
                    return self._reading(definition, seen, harmony)
        return explained(NoteReading("free"), self._reason(FREE, self._seen(note, note, None, None), harmony))

    def _as_said(self, note: Note, function: Function) -> NoteReading:
        """The function that the teacher gives, with the goal that it has by its definition, else the note after."""
        reading = explained(NoteReading(function), Reason(TEACHERS_READING))
        if function == "chord tone" and self._harmony(note) is not None:
            held = self._held_over(note, reading)
            return replace(held, why=reading.why, reasons=reading.reasons)
        if function in _WITHOUT_GOAL:
            return reading
        if note.grace:
            return replace(reading, resolves_to=self._ornament(note).resolves_to)
        for seen in self._ways_to_hear(note):
            if any(d.function == function and self._fits(d, seen) for d in DEFINITIONS):
                return replace(reading, resolves_to=seen.after.id if seen.after and seen.departure != HELD else None)
        after = self._lines.after(note) or self._lines.hidden_after(note)
        return replace(reading, resolves_to=after.id if after is not None else None)

    def _harmony(self, note: Note) -> Harmony | None:
        return self._harmonies[self._chord[note.id]] if self._harmonies else None

    def _foreign(self, note: Note) -> bool:
        if self._said and note.id in self._said:
            return self._said[note.id] != "chord tone"
        harmony = self._harmony(note)
        return harmony is None or note.pitch.pitch_class not in harmony.pitch_classes

    def _ornament(self, note: Note) -> NoteReading:
        heads = self._heads.get(note.onset, [])
        main = min(
            heads,
            key=lambda head: (head.voice != note.voice, head.staff != note.staff, abs(head.midi - note.midi)),
            default=None,
        )
        if main is None:
            return explained(NoteReading("ornament"), because(GRACE, note=note.pitch.name))
        return explained(
            NoteReading("ornament", main.id), because(GRACE_BEFORE, note=note.pitch.name, after=main.pitch.name)
        )

    def _chord_tone(self, note: Note, harmony: Harmony) -> NoteReading:
        chord = (harmony.pitch_classes, harmony.root, harmony.symbol)
        reading = self._tones.get((note.pitch.name, chord))
        if reading is None:
            role = tone_names(harmony.pitch_classes, harmony.root).get(note.pitch.pitch_class, "a tone")
            part = role if role == "a tone" else f"the {role}"
            told = because(CHORD_TONE, note=note.pitch.name, part=part, chord=harmony.symbol or "")
            reading = self._tones[note.pitch.name, chord] = explained(NoteReading("chord tone"), told)
        return reading if note.end <= harmony.end else self._held_over(note, reading)

    def _held_over(self, note: Note, reading: NoteReading) -> NoteReading:
        """What a chord tone becomes in the first later chord that does not hold it while it sounds."""
        missing: Harmony | None = None
        back = False
        for harmony in self._under(note):
            inside = note.pitch.pitch_class in harmony.pitch_classes
            if missing is None and not inside and harmony.pitch_classes:
                missing = harmony
            back = missing is not None and inside
        if missing is None:
            return reading
        after = self._lines.after(note)
        departure = HELD if back else move(note, after)
        for function, left, why in HELD_OVER:
            if departure == left and (left == HELD or (after is not None and not self._foreign(after))):
                further = because(why, chord=missing.symbol or "", after=after.pitch.name if after else "")
                target = None if left == HELD or after is None else after.id
                held = replace(reading, held_as=function, resolves_to=target)
                return explained(held, *reading.reasons, further)
        return reading

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
        for _ in range(_REPEATS):
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
            weights = self._lines.accent(start.onset), self._lines.accent(after.onset)
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
        if before is None or after is None or self._lines.accent(note.onset) > ON_BEATS:
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

    def _reading(self, definition: Definition, seen: Surroundings, harmony: Harmony) -> NoteReading:
        target = None if definition.function == "pedal note" or seen.departure == HELD else seen.after
        resolves_to = None if target is None else target.id
        return explained(NoteReading(definition.function, resolves_to), self._reason(definition.why, seen, harmony))

    def _reason(self, sentence: str, seen: Surroundings, harmony: Harmony) -> Reason:
        note, before, after = seen.note, seen.before, seen.after
        following = next(self._under(note), None) if seen.departure == HELD else None
        if following is None and after is not None:
            following = self._harmony(after)
        return because(
            sentence,
            note=note.pitch.name,
            before=before.pitch.name if before else "a rest",
            after=after.pitch.name if after else "a rest",
            chord=harmony.symbol or "",
            next_chord=(following.symbol or "") if following else "",
            accent=self._accent(seen),
            approached=APPROACHED if before else UNPREPARED,
            left=seen.departure.split()[-1],
            direction=seen.departure.split()[-1],
            side="upper" if seen.approach == STEP_UP else "lower",
        )

    def _accent(self, seen: Surroundings) -> str:
        """Where in its bar the note is struck, in words."""
        level = self._lines.accent(seen.note.onset)
        if level == 0:
            return FIRST_BEAT
        if level <= ON_BEATS:
            return ON_BEAT if level == 1 or seen.accented else WEAK_BEAT
        onset = seen.note.onset
        return (
            SYNCOPATED if seen.note.end > beat_start(self._score, onset) + beat_ticks(self._score, onset) else OFF_BEAT
        )
