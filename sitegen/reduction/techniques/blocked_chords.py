"""Figures struck at once as chords, alone and under the melody on its levels."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from sitegen.reduction.figures import Block, chords_of_harmonies, find_blocks, lowest_at, struck
from sitegen.reduction.material import STEP, Material
from sitegen.reduction.melody import Slot, held_along, let_go_for, simple_tune, sing_over_chords, without_leaning
from sitegen.reduction.notes import as_is, stand_for, sustained
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks import chords
from sitegen.reduction.remarks.groups import COMPLETE, HARMONY, HYMN, LEANING, POSITIONS
from sitegen.reduction.techniques.bass_line import bass_line
from sitegen.reduction.techniques.melodies import complete_melody, held_as_the_bass, leaning_tune
from sitegen.reduction.techniques.registry import technique
from sitegen.reduction.techniques.rungs import Rung
from sitegen.score import Note
from sitegen.score.metre import beat_start, beat_ticks

OCTAVE = 12  # semitones
MOST = 2 / 3  # the share of the strokes of a second voice that come with those of the melody


@technique(
    "harmonic rhythm",
    teacher="One chord for each harmony in its full length. A tone that only the melody has is taken from it.",
    pupil="The chords alone, each held as long as it lasts: feel when the harmony changes.",
    side_study=True,
    listen=HARMONY,
    on=(
        Rung(ladder="melody", after="outer voices", side=True),
        Rung(ladder="figuration", after="outer voices", side=True, title="one chord a harmony"),
    ),
)
def harmonic_rhythm(material: Material) -> list[StageNote]:
    """The hands' first chord of each harmony and bar, held through it, whole with what only the melody has. A bass that
    its figure strikes meanwhile is of the chord, unless it lies below it."""
    chords = chords_of_harmonies(material)
    held: dict[int, list[Block]] = {}
    for chord in chords:
        held.setdefault(chord.staff, []).append(chord)
    basses = [bass for bass in bass_line(material) if not _is_of_a_figure(bass, held.get(bass.staff, ()))]
    return _on_the_bass(material, basses, struck(material, chords))


@technique(
    "blocked chords",
    teacher="Each figure of the accompaniment is struck at once where it lies; the same chord again is held.",
    pupil="The broken chords as whole chords: find each hand position before you play its notes one by one.",
    side_study=True,
    listen=POSITIONS,
)
def blocked_chords(material: Material) -> list[StageNote]:
    """Each figure struck at once in its position."""
    return _on_the_bass(material, bass_line(material), struck(material, find_blocks(material)))


@technique(
    "simple tune over blocked chords",
    teacher="The melody with one note a beat, without its decorations, over the accompaniment in blocked chords.",
    pupil="The tune in its main notes over whole chords: the piece as a hymn.",
    listen=HYMN,
    on=(
        Rung(ladder="melody", after="outer voices", in_fugato="outer voices complete"),
        Rung(ladder="figuration", after="outer voices", title="blocked chords", in_fugato="outer voices complete"),
    ),
)
def simple_tune_over_blocked_chords(material: Material) -> list[StageNote]:
    """The simple tune over the figures struck at once."""
    tune = sustained(material, sing_over_chords(material, simple_tune(material)))
    return _over_blocks(material, tune)


@technique(
    "leaning notes",
    teacher="The notes that lean on the next are put back into the melody; the other decorations are still out.",
    pupil="Now the notes come back that lean on the next one: give them weight, and let go after.",
    listen=LEANING,
    on=(
        Rung(
            ladder="melody",
            after="simple tune over blocked chords",
            optional=True,
            else_aside=True,
            in_fugato="outer voices complete",
        ),
        Rung(
            ladder="figuration",
            after="simple tune over blocked chords",
            optional=True,
            else_aside=True,
            in_fugato="outer voices complete",
        ),
    ),
)
def leaning_notes(material: Material) -> list[StageNote]:
    """The simple tune with its leaning notes over the figures struck at once."""
    return _over_blocks(material, leaning_tune(material))


@technique(
    "complete melody over blocked chords",
    teacher="The melody as it is printed over the accompaniment in blocked chords.",
    pupil="The whole melody, with the accompaniment in whole chords.",
    listen=(*COMPLETE, *POSITIONS),
    on=(
        Rung(ladder="melody", after="leaning notes", in_fugato="all voices but the third"),
        Rung(ladder="figuration", after="leaning notes", optional=True, in_fugato="all voices but the third"),
    ),
)
def complete_melody_over_blocked_chords(material: Material) -> list[StageNote]:
    """Every note of the melody, with what moves along with it, over the figures struck at once."""
    return _complete(material, again=False)


@technique(
    "blocked chords at every turn",
    teacher="The melody as it is printed over blocked chords that are struck again each time the figure begins.",
    pupil="Whole chords in the pulse of the figure: the hands move as they will in the piece.",
    listen=(chords.travels, *COMPLETE),
    on=(
        Rung(
            ladder="figuration",
            after="complete melody over blocked chords",
            title="blocked chords at every turn of the figure",
            in_fugato="all voices but the third",
        ),
    ),
)
def blocked_chords_at_every_turn(material: Material) -> list[StageNote]:
    """Every note of the melody over the figures struck at once each time they begin."""
    return _complete(material, again=True)


def _over_blocks(material: Material, tune: Sequence[StageNote]) -> list[StageNote]:
    """``tune`` over the figures struck at once, which go on with it; where it is the bass too it is held as that."""
    tune = held_as_the_bass(tune, material.once(bass_line))
    chords = without_leaning(material, simple_tune(material), material.once(blocked_chords))
    return _below(tune, held_along(material, tune, _gone_on(material, chords, tune)))


def _complete(material: Material, again: bool) -> list[StageNote]:
    along = _companions(material)
    moving = [as_is(note) for note in material.sounding if note.id in along]
    blocks = struck(material, find_blocks(material, along, again))
    blocks = without_leaning(material, simple_tune(material), blocks)
    tune = material.once(complete_melody)
    blocks = let_go_for(material, tune, blocks)
    return _below(tune, _on_the_bass(material, material.once(bass_line), [*moving, *blocks]))


def _companions(material: Material) -> frozenset[str]:
    """The ids of the notes that move with the melody: struck with one of its notes in its voice, or off the beat in its
    staff and held over the next, or of a second voice in its rhythm; and the basses that they have off the beat."""
    sung = {(n.voice, n.staff, n.onset) for n in material.line("melody")}
    places = {(staff, onset) for _, staff, onset in sung}
    along = [
        n
        for n in material.sounding
        if material.roles[n.id] == "figure"
        and ((n.voice, n.staff, n.onset) in sung or ((n.staff, n.onset) in places and _is_syncopated(material, n)))
    ]
    below = (id for n in along for id in _bass_off_the_beat(material, n))
    return frozenset(n.id for n in along) | frozenset(below) | _second_voices(material)


def _bass_off_the_beat(material: Material, note: Note) -> list[str]:
    """The ids of what the left hand strikes with a note off the beat, below it and below the bass of that beat."""
    start = beat_start(material.score, note.onset)
    bass = lowest_at(material, start) if material.score.hand_of(note.staff) == "left" and start < note.onset else None
    if bass is None:
        return []
    beside = material.struck_between(note.staff, note.onset, note.onset + 1)
    return [n.id for n in beside if n.midi < min(note.midi, bass.midi) and material.roles[n.id] == "figure"]


def _second_voices(material: Material) -> frozenset[str]:
    """The ids of the notes of voices that have, in the staff and bar of the melody, its rhythm: most of their strokes
    come with one of its notes, and are as long, and they have more than one a beat."""
    sung = {(n.staff, n.onset, n.end) for n in material.line("melody")}
    voices: dict[tuple[int, int, int], list[Note]] = {}
    for note in material.sounding:
        if material.roles[note.id] == "figure":
            voices.setdefault((note.bar, note.staff, note.voice), []).append(note)
    found: set[str] = set()
    for notes in voices.values():
        with_it = {n.onset for n in notes if (n.staff, n.onset, n.end) in sung}
        strokes = {n.onset for n in notes}
        beats = {beat_start(material.score, onset) for onset in strokes}
        if len(with_it) >= MOST * len(strokes) and len(strokes) >= 2 * len(beats):
            found |= {n.id for n in notes}
    return frozenset(found)


def _is_syncopated(material: Material, note: Note) -> bool:
    start = beat_start(material.score, note.onset)
    return start < note.onset and note.end > start + beat_ticks(material.score, note.onset)


def _below(melody: Sequence[StageNote], others: Sequence[StageNote]) -> list[StageNote]:
    """``melody`` over ``others``; a key that both strike at once, in one hand or in two, is the melody's."""
    found = list(melody)
    sung = {(n.onset, n.midi): k for k, n in enumerate(found) if not n.grace}
    heads = {note.sources[0] for note in melody}
    for note in others:
        place = sung.get((note.onset, note.midi))
        if place is not None:
            found[place] = found[place].standing_for(note.sources)
        elif note.sources[0] not in heads:
            found.append(note)
    return found


def _is_of_a_figure(bass: StageNote, chords: Sequence[Block]) -> bool:
    """Whether the bass comes while one of ``chords``, those of its hand in order, is held, and lies no lower."""
    before = bisect_left(chords, bass.onset, key=lambda chord: chord.onset)
    chord = chords[before - 1] if before else None
    return chord is not None and chord.figure and bass.onset < chord.end and chord.heads[0].midi <= bass.midi


def _gone_on(material: Material, notes: Sequence[StageNote], tune: Sequence[StageNote]) -> list[StageNote]:
    """``notes`` in which what moves with a leaning note of the tune goes on as ``tune`` does: with the leaning note
    where that is struck, else with its goal. Over a bass of the left hand that is not here too it does not go on."""
    found: list[StageNote] = []
    struck_themselves = {note.sources[0] for note in notes}
    leaning = {
        (slot.onset, slot.head.staff): slot
        for slot in simple_tune(material)
        if slot.leaning and slot.leaning[0].onset == slot.onset < slot.head.onset
    }
    for note in notes:
        slot = leaning.get((note.onset, note.staff))
        goal = _goal_beside(material, material.by_id[note.sources[0]], slot) if slot is not None else None
        if slot is None or goal is None or goal.id in struck_themselves or _lacks_its_bass(material, goal):
            found.append(note)
            continue
        mine = [material.by_id[source] for source in note.sources]
        for sung in tune:
            if slot.onset <= sung.onset < slot.end and sung.staff == note.staff:
                head = goal if sung.sources[0] == slot.head.id else mine[0]
                end = min(sung.end, max(source.end for source in (head, *mine)))
                found.append(stand_for(head, mine, sung.onset, end))
    return found


def _lacks_its_bass(material: Material, goal: Note) -> bool:
    """Whether the left hand strikes, off the beat where no bass stands, a lower note with that on which another goes
    on."""
    if material.score.hand_of(goal.staff) != "left" or beat_start(material.score, goal.onset) == goal.onset:
        return False
    return any(n.midi < goal.midi for n in material.struck_between(goal.staff, goal.onset, goal.onset + 1))


def _goal_beside(material: Material, note: Note, slot: Slot) -> Note | None:
    """The note on which a note goes on that is struck with what leans in the tune: as far below the goal as it is below
    that, if by octaves; or a step away in its voice, if it is as long."""
    leans = slot.leaning[0]
    for other in material.sounding_at(note.staff, slot.head.onset):
        if leans.midi - note.midi == slot.head.midi - other.midi and not (leans.midi - note.midi) % OCTAVE:
            return other if other is not slot.head else None
        same_voice = other.voice == note.voice and other.onset == slot.head.onset and other is not slot.head
        if (
            same_voice
            and (note.onset, note.end) == (leans.onset, leans.end)
            and 0 < abs(other.midi - note.midi) <= STEP
        ):
            return other
    return None


def _on_the_bass(material: Material, basses: Sequence[StageNote], notes: Sequence[StageNote]) -> list[StageNote]:
    """``notes`` with the bass line; a bass that they strike themselves while it lasts stands for that of the line, and
    is held as long as that where the hand strikes a chord over it before it is let go. One that is held over, under a
    chord, is struck with that."""
    found = list(notes)
    struck_at: dict[tuple[int, int], list[int]] = {}
    for k in sorted(range(len(found)), key=lambda k: found[k].onset):
        struck_at.setdefault((found[k].staff, found[k].midi), []).append(k)
    heads = {note.sources[0]: k for k, note in enumerate(found)}
    accounts = {source for note in found for source in note.sources}
    beside = {(note.staff, note.onset) for note in found}
    for bass in basses:
        places = struck_at.get((bass.staff, bass.midi), [])
        low = bisect_left(places, bass.onset, key=lambda k: found[k].onset)
        place = heads.get(bass.sources[0])
        if place is not None:
            held, until = found[place], min(bass.end, material.by_id[bass.sources[0]].end)
            if held.end < until and (held.staff, held.end) in beside:
                found[place] = replace(held.standing_for(bass.sources), duration=bass.end - held.onset)
        if place is None and low < len(places) and found[places[low]].onset < bass.end:
            place = places[low]
        held_over = material.by_id[bass.sources[0]].onset < bass.onset and (bass.staff, bass.onset) in beside
        if place is not None and held_over and found[place].onset > bass.onset:
            found.append(replace(bass, duration=found[place].onset - bass.onset))
        elif place is not None:
            found[place] = found[place].standing_for(source for source in bass.sources if source not in accounts)
        else:
            found.append(bass)
    return found
