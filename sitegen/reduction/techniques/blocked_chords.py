"""Figures struck at once as chords, alone and under the melody on its levels."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from sitegen.reduction.block_notes import struck
from sitegen.reduction.blocks import Block, find_blocks
from sitegen.reduction.harmony_chords import chords_of_harmonies
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.registry import technique
from sitegen.reduction.striking import as_is
from sitegen.reduction.techniques.bass_line import bass_line
from sitegen.reduction.techniques.melodies import complete_melody, leaning_tune, simple_tune_alone


@technique(
    "harmonic rhythm",
    teacher="One chord for each harmony in its full length, without the melody.",
    pupil="The chords alone, each held as long as it lasts: feel when the harmony changes.",
    side_study=True,
)
def harmonic_rhythm(material: Material) -> list[StageNote]:
    """The hands' first chord of each harmony and bar, held through it. A bass that its figure strikes meanwhile is of
    the chord, unless it lies below it."""
    chords = chords_of_harmonies(material)
    held: dict[int, list[Block]] = {}
    for chord in chords:
        held.setdefault(chord.staff, []).append(chord)
    basses = [bass for bass in bass_line(material) if not _is_of_a_figure(bass, held.get(bass.staff, ()))]
    return _on_the_bass(basses, struck(material, chords))


@technique(
    "blocked chords",
    teacher="Each figure of the accompaniment is struck at once where it lies; the same chord again is held.",
    pupil="The broken chords as whole chords: find each hand position before you play its notes one by one.",
    side_study=True,
)
def blocked_chords(material: Material) -> list[StageNote]:
    """Each figure struck at once in its position."""
    return _on_the_bass(bass_line(material), struck(material, find_blocks(material)))


@technique(
    "simple tune over blocked chords",
    teacher="The melody with one note a beat, without its decorations, over the accompaniment in blocked chords.",
    pupil="The tune in its main notes over whole chords: the piece as a hymn.",
)
def simple_tune_over_blocked_chords(material: Material) -> list[StageNote]:
    """The simple tune over the figures struck at once."""
    return _below(simple_tune_alone(material), material.once(blocked_chords))


@technique(
    "leaning notes",
    teacher="The notes that lean on the next are put back into the melody; the other decorations are still out.",
    pupil="Now the notes come back that lean on the next one: give them weight, and let go after.",
)
def leaning_notes(material: Material) -> list[StageNote]:
    """The simple tune with its leaning notes over the figures struck at once."""
    return _below(leaning_tune(material), material.once(blocked_chords))


@technique(
    "complete melody over blocked chords",
    teacher="The melody as it is printed over the accompaniment in blocked chords.",
    pupil="The whole melody, with the accompaniment in whole chords.",
)
def complete_melody_over_blocked_chords(material: Material) -> list[StageNote]:
    """Every note of the melody, with what moves along with it, over the figures struck at once."""
    return _complete(material, again=False)


@technique(
    "blocked chords at every turn",
    teacher="The melody as it is printed over blocked chords that are struck again each time the figure begins.",
    pupil="Whole chords in the pulse of the figure: the hands move as they will in the piece.",
)
def blocked_chords_at_every_turn(material: Material) -> list[StageNote]:
    """Every note of the melody over the figures struck at once each time they begin."""
    return _complete(material, again=True)


def _complete(material: Material, again: bool) -> list[StageNote]:
    along = _companions(material)
    moving = [as_is(note) for note in material.sounding if note.id in along]
    blocks = struck(material, find_blocks(material, along, again))
    return _below(material.once(complete_melody), _on_the_bass(material.once(bass_line), [*moving, *blocks]))


def _companions(material: Material) -> frozenset[str]:
    """The ids of the notes that move with the melody: in its voice, struck with one of its notes."""
    sung = {(n.voice, n.staff, n.onset) for n in material.line("melody")}
    return frozenset(
        n.id for n in material.sounding if material.roles[n.id] == "figure" and (n.voice, n.staff, n.onset) in sung
    )


def _below(melody: Sequence[StageNote], others: Sequence[StageNote]) -> list[StageNote]:
    """``melody`` over ``others``; a key that both strike at once is the melody's."""
    found = list(melody)
    sung = {(n.onset, n.staff, n.midi): k for k, n in enumerate(found) if not n.grace}
    heads = {note.sources[0] for note in melody}
    for note in others:
        place = sung.get((note.onset, note.staff, note.midi))
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


def _on_the_bass(basses: Sequence[StageNote], notes: Sequence[StageNote]) -> list[StageNote]:
    """``notes`` with the bass line; a bass that they strike themselves while it lasts stands for that of the line."""
    found = list(notes)
    struck_at: dict[tuple[int, int], list[int]] = {}
    for k in sorted(range(len(found)), key=lambda k: found[k].onset):
        struck_at.setdefault((found[k].staff, found[k].midi), []).append(k)
    heads = {note.sources[0]: k for k, note in enumerate(found)}
    accounts = {source for note in found for source in note.sources}
    for bass in basses:
        places = struck_at.get((bass.staff, bass.midi), [])
        low = bisect_left(places, bass.onset, key=lambda k: found[k].onset)
        place = heads.get(bass.sources[0])
        if place is None and low < len(places) and found[places[low]].onset < bass.end:
            place = places[low]
        if place is not None:
            found[place] = found[place].standing_for(source for source in bass.sources if source not in accounts)
        else:
            found.append(bass)
    return found
