"""The function of every note against the chord that sounds when it begins, and why.

What kind of foreign note it is, ``table`` defines; how each is heard, ``hearing`` says. Grace notes are ornaments.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sitegen.analysis.chords import tone_names
from sitegen.analysis.functions.hearing import ON_BEATS, REPEATS, Hearing
from sitegen.analysis.functions.neighbours import Surroundings, move
from sitegen.analysis.functions.table import (
    APPROACHED,
    DEFINITIONS,
    FIRST_BEAT,
    FREE,
    HELD,
    HELD_OVER,
    OFF_BEAT,
    ON_BEAT,
    STEP_UP,
    SYNCOPATED,
    UNPREPARED,
    WEAK_BEAT,
    Definition,
)
from sitegen.analysis.nouns import Function, Harmony, NoteReading
from sitegen.analysis.reasons import TEACHERS_READING, WITHOUT_HARMONY, Reason, because
from sitegen.score import Note, Score
from sitegen.score.metre import accent, beat_start, beat_ticks

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
    while target is not None and steps < REPEATS and readings[target].function not in ("chord tone", "ornament"):
        further = readings[target].resolves_to
        if further is None or further == id_:
            break
        target, steps = further, steps + 1
    return reading if target == reading.resolves_to else replace(reading, resolves_to=target)


class _Reader(Hearing):
    """One pass over a score: what each of its notes is, as it is heard."""

    def __init__(self, score: Score, harmonies: Sequence[Harmony], said: Mapping[str, Function]) -> None:
        super().__init__(score, harmonies, said)
        self._tones: dict[tuple[str, tuple[frozenset[int], int | None, str | None]], NoteReading] = {}
        self._heads: dict[int, list[Note]] = {}
        for note in score.notes:
            if not note.grace:
                self._heads.setdefault(note.onset, []).append(note)

    def read(self, note: Note) -> NoteReading:
        if note.id in self._said:
            return self._as_said(note, self._said[note.id])
        if note.grace:
            return self._ornament(note)
        harmony = self._harmony(note)
        if harmony is None or not harmony.pitch_classes:
            return NoteReading("free", reasons=WITHOUT_HARMONY)
        if note.pitch.pitch_class in harmony.pitch_classes:
            return self._chord_tone(note, harmony)
        for seen in self._ways_to_hear(note):
            for definition in DEFINITIONS:
                if self._fits(definition, seen):
                    return self._reading(definition, seen, harmony)
        return NoteReading("free", reasons=(self._reason(FREE, self._seen(note, note, None, None), harmony),))

    def _as_said(self, note: Note, function: Function) -> NoteReading:
        """The function that the teacher gives, with the goal that it has by its definition, else the note after."""
        reading = NoteReading(function, reasons=TEACHERS_READING)
        if function == "chord tone" and self._harmony(note) is not None:
            held = self._held_over(note, reading)
            return replace(held, reasons=reading.reasons)
        if function in _WITHOUT_GOAL:
            return reading
        if note.grace:
            return replace(reading, resolves_to=self._ornament(note).resolves_to)
        for seen in self._ways_to_hear(note):
            if any(d.function == function and self._fits(d, seen) for d in DEFINITIONS):
                return replace(reading, resolves_to=seen.after.id if seen.after and seen.departure != HELD else None)
        after = self._lines.after(note) or self._lines.hidden_after(note)
        return replace(reading, resolves_to=after.id if after is not None else None)

    def _ornament(self, note: Note) -> NoteReading:
        heads = self._heads.get(note.onset, [])
        main = min(
            heads,
            key=lambda head: (head.voice != note.voice, head.staff != note.staff, abs(head.midi - note.midi)),
            default=None,
        )
        if main is None:
            return NoteReading("ornament", reasons=(because("grace", note=note.pitch.name),))
        told = because("grace before", note=note.pitch.name, after=main.pitch.name)
        return NoteReading("ornament", main.id, reasons=(told,))

    def _chord_tone(self, note: Note, harmony: Harmony) -> NoteReading:
        chord = (harmony.pitch_classes, harmony.root, harmony.symbol)
        reading = self._tones.get((note.pitch.name, chord))
        if reading is None:
            role = tone_names(harmony.pitch_classes, harmony.root).get(note.pitch.pitch_class, "a tone")
            part = role if role == "a tone" else f"the {role}"
            told = because("chord tone", note=note.pitch.name, part=part, chord=harmony.symbol or "")
            reading = self._tones[note.pitch.name, chord] = NoteReading("chord tone", reasons=(told,))
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
                return replace(reading, held_as=function, resolves_to=target, reasons=(*reading.reasons, further))
        return reading

    def _reading(self, definition: Definition, seen: Surroundings, harmony: Harmony) -> NoteReading:
        target = None if definition.function == "pedal note" or seen.departure == HELD else seen.after
        resolves_to = None if target is None else target.id
        return NoteReading(definition.function, resolves_to, reasons=(self._reason(definition.why, seen, harmony),))

    def _reason(self, id_: str, seen: Surroundings, harmony: Harmony) -> Reason:
        note, before, after = seen.note, seen.before, seen.after
        following = next(self._under(note), None) if seen.departure == HELD else None
        if following is None and after is not None:
            following = self._harmony(after)
        return because(
            id_,
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
        level = accent(self._score, seen.note.onset)
        if level == 0:
            return FIRST_BEAT
        if level <= ON_BEATS:
            return ON_BEAT if level == 1 or seen.accented else WEAK_BEAT
        onset = seen.note.onset
        return (
            SYNCOPATED if seen.note.end > beat_start(self._score, onset) + beat_ticks(self._score, onset) else OFF_BEAT
        )
