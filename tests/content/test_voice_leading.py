"""Between the outer voices of the studio's own pieces there are no parallel fifths and octaves, as music21 hears them.

The voices are those that a piece is led by: the melody and the bass of its stage of outer voices, and in the invention,
which is two voices as it stands, the score. They are heard from one attack to the next and from one felt beat to the
next. Fifths and octaves are parallel where both voices move the same way; reached by contrary motion, as at cadences,
they are not. Where both hands play one line in octaves, that is a way to write one voice, and a drum roll that stays on
a note of it belongs to that voice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

import pytest
from music21.note import Note as HeardNote
from music21.voiceLeading import VoiceLeadingQuartet

from sitegen.reduction import StageNote
from sitegen.score import Pitch, Score
from tests.content.ladders import ORIGINALS, Ladder, ladder

ONE_LINE = ("octave doubling", "tremolo")

Pair = tuple[StageNote, StageNote]
"""What sounds highest in the right hand and lowest in the left."""


@pytest.mark.parametrize("slug", ORIGINALS)
def test_outer_voices_move_without_parallel_fifths_and_octaves(slug: str) -> None:
    piece = ladder(slug)
    stage = piece.stages["as-written" if piece.analysis.counterpoint else "outer-voices"]
    notes = [note for note in stage.notes if not note.grace]
    found = [
        f"bar {piece.score.bar_at(now).number}: {' '.join(map(_name, (*pair, *following)))}"
        for times in (sorted({note.onset for note in notes}), _beats(piece.score))
        for (before, pair), (now, following) in pairwise(_sounding(notes, times))
        if not _is_one_line(piece, before) and not _is_one_line(piece, now) and _are_parallel(pair, following)
    ]
    assert found == []


@pytest.mark.parametrize(
    ("upper", "lower", "parallel"),
    [
        ("G4 A4", "C3 D3", True),
        ("C5 D5", "C3 D3", True),
        ("A4 D5", "D3 G3", True),
        ("E4 F4", "C3 D3", False),
        ("G4 G4", "C3 C3", False),
        ("D5 G4", "D3 G3", False),
    ],
)
def test_what_is_parallel(upper: str, lower: str, parallel: bool) -> None:
    assert _heard(*upper.split(), *lower.split()) is parallel


def _heard(upper: str, upper_next: str, lower: str, lower_next: str) -> bool:
    quartet = VoiceLeadingQuartet(*map(HeardNote, (upper, upper_next, lower, lower_next)))
    return quartet.similarMotion() and bool(quartet.parallelFifth() or quartet.parallelUnisonOrOctave())


def _are_parallel(pair: Pair, following: Pair) -> bool:
    (upper, lower), (upper_next, lower_next) = pair, following
    if upper is upper_next or lower is lower_next:
        return False
    return _heard(*(_spelled(note.pitch) for note in (upper, upper_next, lower, lower_next)))


def _spelled(pitch: Pitch) -> str:
    """In music21's way, with ``-`` for a flat."""
    return f"{pitch.step}{'#' * pitch.alter}{'-' * -pitch.alter}{pitch.octave}"


def _name(note: StageNote) -> str:
    return _spelled(note.pitch)


def _sounding(notes: Iterable[StageNote], times: Iterable[int]) -> Iterator[tuple[int, Pair]]:
    for time in times:
        sounding = [note for note in notes if note.onset <= time < note.onset + note.duration]
        right = [note for note in sounding if note.staff == 1]
        left = [note for note in sounding if note.staff == 2]
        if right and left:
            yield time, (max(right, key=lambda note: note.midi), min(left, key=lambda note: note.midi))


def _beats(score: Score) -> list[int]:
    return [onset for bar in score.bars for onset in range(bar.onset, bar.end, score.ticks(bar.metre.beat_quarters))]


def _is_one_line(piece: Ladder, time: int) -> bool:
    return all(texture.kind in ONE_LINE for texture in piece.analysis.textures if texture.onset <= time < texture.end)
