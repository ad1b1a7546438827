"""The melody on its levels, over the bass: from two outer voices to the melody as it is written.

Where only figuration is played the highest notes of its chords stand in for the melody.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import replace

from sitegen.analysis.metre import beat_ticks
from sitegen.reduction.blocks import top_line
from sitegen.reduction.lines import Span, by_beat, by_harmony, sing, with_leanings, without_ornaments
from sitegen.reduction.material import Material
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.registry import join, technique
from sitegen.reduction.striking import as_is, in_order
from sitegen.reduction.sustaining import sustained
from sitegen.reduction.techniques.bass_line import bass_line


@technique(
    "outer voices",
    teacher="The bass with one structural note of the melody for each harmony.",
    pupil="The lowest and the highest line: two voices that carry the whole piece.",
)
def outer_voices(material: Material) -> list[StageNote]:
    """The melody's most structural note of each harmony, struck together with the bass."""
    bass = bass_line(material)
    upper = join(sung(material, by_harmony(material, material.line("melody"))), top_line(material))
    return join(_with_the_bass(material, upper, bass), bass)


@technique(
    "melody by the beat",
    teacher="The bass with one structural note of the melody for each beat.",
    pupil="The main notes of the melody, one for each beat at most, over the bass.",
)
def melody_by_the_beat(material: Material) -> list[StageNote]:
    """The melody's most structural note of each beat, over the bass."""
    return join(sung(material, by_beat(material, material.line("melody"))), top_line(material), bass_line(material))


@technique(
    "melody without ornaments",
    teacher="The chord tones of the melody over the bass; what decorates them has given its time to them.",
    pupil="The melody without its decorations, over the bass.",
)
def melody_without_ornaments(material: Material) -> list[StageNote]:
    """The chord tones of the melody over the bass, each with the time of the notes that decorate it."""
    return join(
        sung(material, without_ornaments(material, material.line("melody"))), top_line(material), bass_line(material)
    )


@technique(
    "leaning notes",
    teacher="Appoggiaturas and suspensions are put back into the melody; the other decorations are still out.",
    pupil="Now the notes come back that lean on the next one: give them weight, and let go after.",
)
def leaning_notes(material: Material) -> list[StageNote]:
    """The melody with its appoggiaturas, suspensions and retardations, the rest of its decorations out, over bass."""
    return join(
        sung(material, with_leanings(material, material.line("melody"))), top_line(material), bass_line(material)
    )


@technique(
    "complete melody over bass",
    teacher="The melody with all its notes, graces and ornaments over the bass.",
    pupil="The whole melody, just as it is printed, over the bass.",
)
def complete_melody_over_bass(material: Material) -> list[StageNote]:
    """Every note of the melody with its graces and signs, over the bass."""
    return join(complete_melody(material), top_line(material), bass_line(material))


def complete_melody(material: Material) -> list[StageNote]:
    """Every note of the melody with its graces and signs."""
    line = material.line("melody")
    places = dict.fromkeys((note.onset, note.staff) for note in line)
    graces = [as_is(grace) for place in places for grace in material.graces.get(place, ())]
    return [*graces, *sustained(material, [as_is(note) for note in line])]


def sung(material: Material, spans: Iterable[Sequence[Span]]) -> list[StageNote]:
    """The notes of a reduced melody."""
    return sustained(material, sing(spans))


def _with_the_bass(material: Material, upper: Sequence[StageNote], bass: Sequence[StageNote]) -> list[StageNote]:
    """``upper`` with what comes less than a beat after the bass of its harmony struck with that: off-beat melodies."""
    onsets = [note.onset for note in bass]
    found: list[StageNote] = []
    reached: dict[int, int] = {}
    for note in in_order(upper):
        place = bisect_right(onsets, note.onset) - 1
        beat = beat_ticks(material.score, note.onset)
        start = onsets[place] if place >= 0 else note.onset
        same = material.harmony_index(start) == material.harmony_index(note.onset)
        if same and 0 < note.onset - start < beat and reached.get(note.staff, 0) <= start:
            note = replace(note.standing_for(bass[place].sources), onset=start, duration=note.end - start)
        reached[note.staff] = max(reached.get(note.staff, 0), note.end)
        found.append(note)
    return found
