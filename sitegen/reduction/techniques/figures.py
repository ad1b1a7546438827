"""One kind of figure made simple, everything else as written. The texture of each staff says where the figure is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from sitegen.analysis.texture import of_family
from sitegen.reduction.figures import Block, find_blocks, struck, whole_blocks
from sitegen.reduction.material import Material
from sitegen.reduction.notes import as_is
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks.groups import POSITIONS
from sitegen.reduction.techniques.registry import technique
from sitegen.reduction.techniques.thinned_lines import Thinned, runs, sing
from sitegen.score import Note, Pitch

BASS_AND_CHORD = of_family("patterns")
SCALE_RUN = frozenset({"scale run"})


@technique(
    "repeated chords held",
    teacher="A chord that is struck again and again is struck once in each bar and held; all else is as written.",
    pupil="Every repeated chord is played once and held: know the shapes before you repeat them.",
)
def repeated_chords_held(material: Material) -> list[StageNote]:
    """Repeated chords struck once for each harmony of a bar, the rest as written."""
    return _with_blocks(material, frozenset({"repeated chords"}), _positions)


@technique(
    "tremolo as a chord",
    teacher="A tremolo becomes one held chord; all else is as written.",
    pupil="The tremolo is one chord, held: find it, then shake it.",
)
def tremolo_as_a_chord(material: Material) -> list[StageNote]:
    """Tremolos struck once and held, the rest as written."""
    return _with_blocks(material, frozenset({"tremolo"}), _positions)


@technique(
    "bass and chord as one block",
    teacher="Bass and after-beats become one chord; a bass that lies apart is brought up by octaves.",
    pupil="Bass and chord together in one hand position: the harmony of the whole bar at once.",
    side_study=True,
    listen=POSITIONS,
)
def bass_and_chord_as_one_block(material: Material) -> list[StageNote]:
    """Waltz, march and stride basses as one block, the bass moved under its chord, the rest as written."""
    return _with_blocks(material, BASS_AND_CHORD, lambda m: _under_the_chord(m, whole_blocks(m)))


@technique(
    "runs to their goals",
    teacher="Of a scale run its first note and the note it makes for are kept; all else is as written.",
    pupil="Only where each run begins and where it arrives: hear the two notes before you fill in the scale.",
)
def runs_to_their_goals(material: Material) -> list[StageNote]:
    """Scale runs as the notes at which they begin, turn and arrive, the rest as written."""
    in_run = {n.id for n in material.sounding if material.texture(n.staff, n.onset) in SCALE_RUN}
    kept = [as_is(note) for note in material.printed if note.grace or note.id not in in_run]
    by_staff: dict[int, list[Note]] = {}
    for note in material.sounding:
        if note.id in in_run:
            by_staff.setdefault(note.staff, []).append(note)
    for line in by_staff.values():
        kept += sing(_turning_points(run) for run in runs(material, line))
    return kept


def _turning_points(run: Sequence[Note]) -> list[Thinned]:
    """The first and the last note of a run, and those at which it turns, each with the notes that follow it."""
    spans: list[Thinned] = []
    for place, note in enumerate(run):
        inside = 0 < place < len(run) - 1
        if inside and (note.midi - run[place - 1].midi) * (run[place + 1].midi - note.midi) > 0:
            spans[-1] = replace(spans[-1], members=(*spans[-1].members, note))
        else:
            spans.append(Thinned(note, (note,), note.onset))
    return spans


def _positions(material: Material) -> list[StageNote]:
    return struck(material, find_blocks(material))


def _with_blocks(
    material: Material, kinds: frozenset[str], blocks: Callable[[Material], list[StageNote]]
) -> list[StageNote]:
    """The score as written, but ``blocks`` in place of the accompaniment wherever the texture is of these kinds."""
    figured = {
        note.id
        for note in material.sounding
        if material.roles[note.id] == "figure" and material.texture(note.staff, note.onset) in kinds
    }
    written = [as_is(note) for note in material.printed if note.id not in figured]
    return written + [note for note in blocks(material) if note.sources[0] in figured]


def _under_the_chord(material: Material, blocks: Sequence[Block]) -> list[StageNote]:
    """Blocks wider than the hand with their bass brought up by octaves to lie next below the chord."""
    notes = []
    at: dict[tuple[int, int], list[StageNote]] = {}
    for note in struck(material, blocks):
        at.setdefault((note.staff, note.onset), []).append(note)
    for chord in at.values():
        bass, *upper = sorted(chord, key=lambda n: n.midi)
        octaves = 0
        if upper and upper[-1].midi - bass.midi > material.span:
            octaves = max(0, (upper[0].midi - bass.midi - 1) // 12)
        if octaves:
            pitch = Pitch(bass.pitch.step, bass.pitch.alter, bass.pitch.octave + octaves)
            bass = replace(bass, pitch=pitch, moved=True)
        notes += [bass, *upper]
    return notes
