"""The teacher's reading of a note, a stretch or a chord in place of the analysis's, before anything is reduced."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sitegen.analysis.functions import name_functions
from sitegen.analysis.nouns import Analysis, Harmony, NoteReading, Reason, Texture
from sitegen.analysis.reasons import explained
from sitegen.analysis.tension import measure_tension
from sitegen.errors import ContentError, located
from sitegen.places.finding import find_note, find_spot
from sitegen.places.parsing import parse_place
from sitegen.reduction.adjustments.chords import spell_chord
from sitegen.reduction.wishes import TEACHERS_READING, Reading, Wishes
from sitegen.score import Note, Score


def apply_to_analysis(score: Score, analysis: Analysis, wishes: Wishes) -> Analysis:
    """The analysis with the teacher's functions, textures and chords. Pure.

    Raises ``ContentError`` for an place that matches nothing or several things, and for a chord that is none.
    """
    for reading in wishes.readings:
        analysis = apply_reading(score, analysis, reading, wishes.file)
    if not wishes.readings:
        return analysis
    return replace(analysis, tension=measure_tension(score, analysis.harmonies, analysis.notes))


def apply_reading(score: Score, analysis: Analysis, reading: Reading, file: str) -> Analysis:
    """The analysis with one reading. Raises as ``apply_to_analysis``."""
    if reading.what == "function":
        return _function(score, analysis, reading, file)
    if reading.what == "texture":
        return _texture(score, analysis, reading, file)
    return _chord(score, analysis, reading, file)


def _function(score: Score, analysis: Analysis, reading: Reading, file: str) -> Analysis:
    with located(file, reading.line):
        note = find_note(score, parse_place(reading.at))
    before = analysis.notes[note.id]
    target = before.resolves_to
    if reading.value in ("chord tone", "pedal note", "free"):
        target = None
    elif target is None:
        target = _next_in_voice(score, note)
    changed = replace(before, function=reading.value, resolves_to=target)  # type: ignore[arg-type]
    changed = explained(changed, Reason(TEACHERS_READING))
    return replace(analysis, notes={**analysis.notes, note.id: changed})


def _next_in_voice(score: Score, note: Note) -> str | None:
    later = (n for n in score.sounding() if n.voice == note.voice and n.onset >= note.end)
    found = next(later, None)
    return found.id if found is not None else None


def _texture(score: Score, analysis: Analysis, reading: Reading, file: str) -> Analysis:
    with located(file, reading.line):
        place = find_spot(score, parse_place(reading.at))
    kept: list[Texture] = []
    for texture in analysis.textures:
        if texture.staff not in place.staves or texture.end <= place.onset or texture.onset >= place.end:
            kept.append(texture)
            continue
        if texture.onset < place.onset:
            kept.append(replace(texture, duration=place.onset - texture.onset))
        if texture.end > place.end:
            kept.append(replace(texture, onset=place.end, duration=texture.end - place.end))
    length = place.end - place.onset
    kept += [Texture(staff, place.onset, length, reading.value) for staff in place.staves]
    return replace(analysis, textures=tuple(sorted(kept, key=lambda t: (t.onset, t.staff))))


def _chord(score: Score, analysis: Analysis, reading: Reading, file: str) -> Analysis:
    with located(file, reading.line):
        onset = find_spot(score, parse_place(reading.at)).onset
    here = analysis.harmony_at(onset)
    end = here.end
    if reading.until:
        with located(file, reading.line):
            end = find_spot(score, parse_place(reading.until)).onset
        if end <= onset:
            what = f"'{reading.until}' is not after '{reading.at}'"
            raise ContentError(what, "let the chord end later", file, reading.line)
    chord = spell_chord(reading.value, here.key, file, reading.line)
    called = Harmony(
        onset,
        end - onset,
        chord.pitch_classes,
        chord.bass,
        chord.root,
        here.key,
        chord.numeral,
        chord.symbol,
        TEACHERS_READING,
    )
    harmonies = _put_in(analysis.harmonies, called)
    return replace(analysis, harmonies=harmonies, notes=_functions(score, analysis, harmonies, called))


def _put_in(harmonies: Sequence[Harmony], called: Harmony) -> tuple[Harmony, ...]:
    found: list[Harmony] = []
    for harmony in harmonies:
        if harmony.end <= called.onset or harmony.onset >= called.end:
            found.append(harmony)
            continue
        if harmony.onset < called.onset:
            found.append(replace(harmony, duration=called.onset - harmony.onset))
        if harmony.onset <= called.onset < harmony.end:
            found.append(called)
        if harmony.end > called.end:
            found.append(replace(harmony, onset=called.end, duration=harmony.end - called.end))
    return tuple(found)


def _functions(
    score: Score, analysis: Analysis, harmonies: Sequence[Harmony], called: Harmony
) -> dict[str, NoteReading]:
    """A note of the new chord is a chord tone now; one that is foreign to it is what the definitions make of it."""
    notes = dict(analysis.notes)
    foreign: list[str] = []
    for note in score.sounding():
        if not called.onset <= note.onset < called.end:
            continue
        reading = notes[note.id]
        if note.pitch.pitch_class in called.pitch_classes:
            notes[note.id] = explained(
                replace(reading, function="chord tone", resolves_to=None), Reason(TEACHERS_READING)
            )
        elif reading.function == "chord tone":
            foreign.append(note.id)
    defined = name_functions(score, harmonies) if foreign else {}
    for name in foreign:
        notes[name] = replace(defined[name], line=notes[name].line, depth=notes[name].depth)
    return notes
