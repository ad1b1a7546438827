"""What lies between melody and bass, and the music without its ground."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from sitegen.reduction.figures import find_basses, find_blocks
from sitegen.reduction.material import STEP, Material
from sitegen.reduction.notes import as_is, hold
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks import lines
from sitegen.reduction.remarks.groups import HARMONY, INNER
from sitegen.reduction.techniques.melodies import complete_melody
from sitegen.reduction.techniques.registry import join, technique
from sitegen.reduction.techniques.rungs import Rung
from sitegen.score import Note
from sitegen.score.metre import bar_ticks

OFTEN = 0.25  # the share of the bars in which an inner line sounds, if the piece has one
STEPS = 0.5  # more than this share of its moves goes by step
OWN = 0.4  # the share of its notes that are not struck together with the melody


@technique(
    "inner line alone",
    teacher="The line between melody and bass, by itself.",
    pupil="The line in the middle, which is easily missed: sing it.",
    side_study=True,
    listen=(lines.inner_steps,),
    on=(Rung(ladder="figuration", after="blocked chords at every turn", side=True),),
)
def inner_line_alone(material: Material) -> list[StageNote]:
    """The inner line, where the piece has one; where it has none, the top notes of the left hand's blocks."""
    line = inner_line(material)
    return [as_is(note) for note in line] if line else _tops(material)


def inner_line(material: Material) -> list[Note]:
    """The notes of a line between melody and bass; none where there is but what fills the harmony.

    A line is heard as one where for a bar or more its notes join each other and go by step, in a rhythm that is not the
    melody's, and through a good part of the piece. What stands in a figure is no line.
    """
    figured = {n.id for windows in material.windows.values() for w in windows if w.figure for n in w.notes}
    line = [n for n in material.sounding if material.reading(n).line == "inner" and n.id not in figured]
    line = [n for n in line if material.roles[n.id] == "figure"]
    line = [n for run in _joined(line) if _goes_by_step(material, run) for n in run]
    line.sort(key=lambda n: (n.onset, n.midi))
    sung = {n.onset for n in material.line("melody")}
    is_line = len({n.bar for n in line}) >= OFTEN * len(material.score.bars) and sum(
        n.onset not in sung for n in line
    ) >= OWN * len(line)
    return line if is_line else []


def _joined(line: Sequence[Note]) -> list[list[Note]]:
    """The notes of each staff as far as one enters where the one before it ends."""
    runs: list[list[Note]] = []
    last: dict[int, list[Note]] = {}
    for note in line:
        run = last.get(note.staff)
        if run is not None and note.onset <= run[-1].end:
            run.append(note)
        else:
            last[note.staff] = [note]
            runs.append(last[note.staff])
    return runs


def _goes_by_step(material: Material, run: Sequence[Note]) -> bool:
    """Whether joined notes last for a bar and go mostly by step."""
    moves = [abs(a.midi - b.midi) for a, b in pairwise(run) if a.midi != b.midi]
    length = bar_ticks(material.score, run[0].onset)
    return run[-1].end - run[0].onset >= length and sum(move <= STEP for move in moves) > STEPS * len(moves)


def _tops(material: Material) -> list[StageNote]:
    lowest = {bass.note.id for bass in find_basses(material)}
    return [
        hold(block.heads[-1], block.members, block.onset, block.end)
        for block in find_blocks(material)
        if material.score.hand_of(block.staff) == "left" and block.heads[-1].id not in lowest
    ]


@technique(
    "inner line with the melody",
    teacher="Melody and inner line, without the bass.",
    pupil="The melody with the line in the middle: two voices without the ground below them.",
    side_study=True,
    listen=INNER,
    on=(Rung(ladder="melody", after="complete melody over blocked chords", side=True),),
)
def inner_line_with_the_melody(material: Material) -> list[StageNote]:
    """The complete melody with the inner line."""
    inner = inner_line(material)
    return join(material.once(complete_melody), [as_is(note) for note in inner]) if inner else []


@technique(
    "without the bass",
    teacher="As written without the bass notes.",
    pupil="Everything but the bass: hear what is missing.",
    side_study=True,
    listen=HARMONY,
)
def without_the_bass(material: Material) -> list[StageNote]:
    """Every note of the score but those of the bass line."""
    basses = {note.id for note in material.sounding if material.reading(note).line == "bass"}
    basses |= {bass.note.id for bass in find_basses(material)}
    return [as_is(note) for note in material.printed if note.id not in basses]
