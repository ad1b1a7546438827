"""The openings of the demo's pieces, beside what a teacher wrote by hand; with the pieces' own adjustments in force."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from sitegen.analysis.analysing import analyse
from sitegen.library import load_library
from sitegen.reduction import Stage, Wish, build_ladder, parse_wishes, readings_of
from sitegen.score import Score, read_score
from tests.reduction.reading import line

CONTENT = Path(__file__).resolve().parents[2] / "content"


@cache
def ladder(name: str) -> tuple[Score, dict[str, Stage]]:
    piece = next(piece for piece in load_library(CONTENT).pieces if piece.slug == name)
    wishes = parse_wishes([Wish(one.value, one.line) for one in piece.adjustments], str(piece.file), [])
    score = read_score(piece.score)
    stages = build_ladder(score, analyse(score, readings_of(score, wishes)), wishes)
    return score, {stage.title: stage for stage in stages}


def opening(name: str, title: str, staff: int, bars: int = 8) -> str:
    """The first bars of a staff of a stage: ``bar pitch:quarters``, a rest not written."""
    score, stages = ladder(name)
    notes = [n for n in stages[title].notes if n.staff == staff and n.onset < score.bars[bars].onset and not n.grace]
    found = []
    for bar in score.bars[:bars]:
        inside = line([n for n in notes if bar.onset <= n.onset < bar.end], score, staff)
        chords = [chord.split() for chord in inside.split(" | ") if chord]
        found.append(
            " ".join([bar.number, *(f"{pitches.replace('+', '-')}:{length}" for _, pitches, length in chords)])
        )
    return " | ".join(found)


SONATINA = "sonatina-in-g"
SONATINA_BASS = "1 G3:4 | 2 F#3:4 | 3 G3:4 | 4 C3:2 D3:2 | 5 G3:4 | 6 E3:4 | 7 A3:4 | 8 D3:3"
SONATINA_BLOCKS = (
    "1 G3-B3-D4:4 | 2 F#3-C4-D4:4 | 3 G3-B3-D4:4 | 4 C3-E3-A3:2 D3-F#3-A3:2 | 5 G3-B3-D4:4 | 6 E3-G3-B3:4 | "
    "7 A3-D4-F#4:2 A3-C#4-G4:2 | 8 D3-F#3-A3:3"
)


@pytest.mark.parametrize(
    ("title", "right", "left"),
    [
        ("Bass line", "1 | 2 | 3 | 4 | 5 | 6 | 7 | 8", SONATINA_BASS),
        (
            "Outer voices",
            "1 G4:2 D5:2 | 2 D5:4 | 3 B4:4 | 4 A4:2 F#4:2 | 5 G4:2 D5:2 | 6 E5:2 G5:2 | 7 F#5:2 E5:2 | 8 D5:3",
            SONATINA_BASS,
        ),
        (
            "Simple tune over blocked chords",
            "1 G4:1 B4:1 D5:2 | 2 D5:2 | 3 B4:2 | 4 A4:1 C5:1 F#4:2 | 5 G4:1 B4:1 D5:2 | 6 E5:2 G5:1 E5:1 | "
            "7 F#5:2 E5:2 | 8 D5:3",
            SONATINA_BLOCKS,
        ),
        (
            "Leaning notes",
            "1 G4:1 B4:1 D5:2 | 2 E5:1 D5:1 | 3 C5:1 B4:1 | 4 A4:1 C5:1 G4:1 F#4:1 | 5 G4:1 B4:1 D5:2 | "
            "6 E5:2 G5:1 E5:1 | 7 G5:1/2 F#5:3/2 E5:2 | 8 D5:3",
            SONATINA_BLOCKS,
        ),
    ],
)
def test_the_sonatina_is_as_a_teacher_would_write_it(title, right, left):
    assert opening(SONATINA, title, 1) == right
    assert opening(SONATINA, title, 2) == left


def test_the_complete_melody_of_the_sonatina_is_the_printed_right_hand():
    complete = "Complete melody over blocked chords"
    assert opening(SONATINA, complete, 1) == opening(SONATINA, "As written", 1)
    assert opening(SONATINA, complete, 2) == SONATINA_BLOCKS


PRELUDE = "prelude-in-d-minor"
PRELUDE_BASS = "1 D3:3 | 2 D3:3 | 3 C#3:3 | 4 D3:3/2 C3:3/2 | 5 Bb2:3 | 6 C3:3 | 7 F2:3 | 8 F#2:3"


@pytest.mark.parametrize(
    ("title", "right", "left"),
    [
        ("Bass line", "1 | 2 | 3 | 4 | 5 | 6 | 7 | 8", PRELUDE_BASS),
        (
            "Outer voices",
            "1 A4:3 | 2 Bb4:3 | 3 A4:3 | 4 A4:3 | 5 A4:3/2 G4:3/2 | 6 G4:3/2 Bb4:3/2 | 7 A4:3 | 8 A4:3",
            PRELUDE_BASS,
        ),
        (
            "Blocked chords",
            "1 D4-F4-A4:3 | 2 E4-G4-Bb4:3 | 3 E4-G4-A4:3 | 4 D4-F4-A4:3 | 5 D4-F4-A4:3/2 D4-F4-G4:3/2 | "
            "6 C4-F4-G4:3/2 C4-E4-Bb4:3/2 | 7 C4-F4-A4:3 | 8 C4-Eb4-A4:3/2 C4-D4-A4:3/2",
            "1 D3-A3:3 | 2 D3-G3:3 | 3 C#3-A3:3 | 4 D3-A3:3/2 C3-A3:3/2 | 5 Bb2-F3:3/2 Bb2-G3:3/2 | 6 C3-G3:3 | "
            "7 F2-F3:3 | 8 F#2-D3:3",
        ),
    ],
)
def test_the_prelude_is_as_a_teacher_would_write_it(title, right, left):
    assert opening(PRELUDE, title, 1) == right
    assert opening(PRELUDE, title, 2) == left
