"""The melody on its levels, over the bass or by itself.

Where only figuration is played the highest notes of its blocks stand in for the melody.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace

from sitegen.reduction.figures import Block, find_blocks
from sitegen.reduction.material import Material
from sitegen.reduction.melody import by_half_bar, simple_tune, sing, sing_leaning, units_of
from sitegen.reduction.notes import as_is, hold, sustained
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks.groups import COMPLETE, LEANING, OUTER
from sitegen.reduction.techniques.bass_line import bass_line
from sitegen.reduction.techniques.registry import join, technique
from sitegen.reduction.techniques.rungs import Rung
from sitegen.score.metre import beat_start, beat_ticks


@technique(
    "outer voices",
    teacher="The bass with one note of the melody for each harmony or half bar.",
    pupil="The lowest and the highest line: two voices that carry the whole piece.",
    listen=OUTER,
    on=(
        Rung(ladder="melody", after="bass line", in_fugato="highest voice over the bass"),
        Rung(ladder="figuration", after="bass line", in_fugato="highest voice over the bass"),
        Rung(ladder="one line", title="main notes of the melody"),
    ),
)
def outer_voices(material: Material) -> list[StageNote]:
    """One note of the melody for each harmony and half bar, over the bass."""
    bass = material.once(bass_line)
    tune = held_as_the_bass(sustained(material, sing(by_half_bar(material, simple_tune(material)))), bass)
    return join(tune, top_line(material, tune), bass)


def held_as_the_bass(tune: Sequence[StageNote], bass: Sequence[StageNote]) -> list[StageNote]:
    """``tune`` in which a note that is the bass too, or is struck on its key, is held as the bass is, until its staff
    goes on with the tune."""
    on_key: dict[tuple[int, int], list[StageNote]] = {}
    for low in bass:
        on_key.setdefault((low.staff, low.midi), []).append(low)
    goes_on: dict[int, int] = {}
    held: list[StageNote] = []
    for note in reversed(tune):
        basses = on_key.get((note.staff, note.midi), [])
        place = bisect_right(basses, note.onset, key=lambda low: low.onset)
        low = basses[place - 1] if place and basses[place - 1].end > note.onset else note
        end = min(low.end, goes_on.get(note.staff, low.end))
        goes_on[note.staff] = note.onset
        if end > note.end:
            sources = tuple(dict.fromkeys((*note.sources, *low.sources)))
            note = replace(note, duration=end - note.onset, sources=sources)
        held.append(note)
    return held[::-1]


@technique(
    "simple tune",
    teacher="The melody by itself, one note a beat, without what decorates it.",
    pupil="The tune in its main notes.",
    side_study=True,
    on=(Rung(ladder="one line", after="outer voices"),),
)
def simple_tune_alone(material: Material) -> list[StageNote]:
    """The melody with at most one note a beat."""
    return sustained(material, sing(simple_tune(material)))


@technique(
    "leaning notes alone",
    teacher="The melody by itself, one note a beat, with the notes that lean on these.",
    pupil="The tune in its main notes, and what leans on them.",
    side_study=True,
    listen=LEANING,
    on=(Rung(ladder="one line", after="simple tune", title="leaning notes"),),
)
def leaning_tune(material: Material) -> list[StageNote]:
    """The simple tune with its leaning notes put back."""
    return sustained(material, sing_leaning(material, simple_tune(material)))


@technique(
    "complete melody over bass",
    teacher="The melody with all its notes, graces and ornaments over the bass.",
    pupil="The whole melody, just as it is printed, over the bass.",
    side_study=True,
    listen=COMPLETE,
    on=(Rung(ladder="melody", after="leaning notes", side=True, in_fugato="highest voice over the bass"),),
)
def complete_melody_over_bass(material: Material) -> list[StageNote]:
    """Every note of the melody with its graces and signs, over the bass."""
    tune = _into_its_figure(material, material.once(complete_melody))
    return join(tune, top_line(material, tune), material.once(bass_line)) if tune else []


def _into_its_figure(material: Material, tune: Sequence[StageNote]) -> list[StageNote]:
    """``tune`` in which a short note on a beat, from which its voice goes on as a figure, is held for that beat."""
    found = list(tune)
    following: dict[int, int] = {}
    for place in reversed(range(len(found))):
        note = found[place]
        if note.grace:
            continue
        target = note.onset + beat_ticks(material.score, note.onset)
        free = following.get(note.staff, target) >= target and beat_start(material.score, note.onset) == note.onset
        if free and note.end < target:
            figure = [
                other
                for other in material.struck_between(note.staff, note.end, target)
                if other.voice == note.voice and material.roles[other.id] == "figure"
            ]
            if figure and figure[0].onset == note.end and figure[-1].end >= target:
                found[place] = replace(note.standing_for([figure[-1].id]), duration=target - note.onset)
        following[note.staff] = note.onset
    return found


def complete_melody(material: Material) -> list[StageNote]:
    """Every note of the melody with its graces and signs."""
    line = material.line("melody")
    places = dict.fromkeys((note.onset, note.staff) for note in line)
    graces = [as_is(grace) for place in places for grace in material.graces.get(place, ())]
    return [*graces, *sustained(material, [as_is(note) for note in line])]


def top_line(material: Material, upper: Sequence[StageNote] = ()) -> list[StageNote]:
    """The highest note of the right hand's first block in each half bar or harmony, in bars in which its staff has
    nothing of ``upper``."""
    highest = min((s.number for s in material.score.staves if s.hand == "right"), default=0)
    blocks = [block for block in find_blocks(material) if block.staff == highest]
    busy: set[int] = set()
    for note in (note for note in upper if note.staff == highest):
        last = material.score.bar_at(max(note.onset, note.end - 1)).index
        busy.update(range(material.score.bar_at(note.onset).index, last + 1))
    notes: list[StageNote] = []
    place = 0
    for bar in material.score.bars:
        units = units_of(material, bar)
        for unit, end in zip(units, [*units[1:], bar.end], strict=True):
            inside = []
            while place < len(blocks) and blocks[place].onset < end:
                inside.append(blocks[place])
                place += 1
            if inside and bar.index not in busy:
                _add_top(notes, inside, max(unit, inside[0].onset), bar.onset)
    return notes


def _add_top(notes: list[StageNote], blocks: Sequence[Block], onset: int, bar: int) -> None:
    """Add the highest note of the first of ``blocks``, or hold the note before it on where that, in the same bar, is
    the same."""
    top = max(blocks[0].heads, key=lambda n: (n.midi, -n.onset))
    members = [note for block in blocks for note in block.members]
    note = hold(top, members, onset, max(block.end for block in blocks))
    before = notes[-1] if notes else None
    if before is not None and before.midi == note.midi and before.onset >= bar and before.end >= note.onset:
        notes[-1] = replace(before.standing_for(note.sources), duration=max(before.end, note.end) - before.onset)
    else:
        notes.append(note)
