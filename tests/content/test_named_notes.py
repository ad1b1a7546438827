"""The notes that the commentary of the three newer pieces names are the notes that the stages show where it says so."""

from __future__ import annotations

from itertools import groupby

import pytest

from tests.content.ladders import ladder

NOCTURNE, INVENTION, MARCH = "nocturne-in-a-flat", "invention-in-a-minor", "march-in-d"
AT_ONCE, HIGHEST, LOWEST = "at once", "highest", "lowest"


@pytest.mark.parametrize(
    ("slug", "stage", "bars", "line", "named"),
    [
        (NOCTURNE, "bass-line", (1, 5), LOWEST, "Ab Ab G F Eb"),
        (NOCTURNE, "bass-line", (5, 6), LOWEST, "Eb Db C"),
        (NOCTURNE, "outer-voices", (18, 21), LOWEST, "C Db D Eb E F"),
        (NOCTURNE, "outer-voices", (18, 21), HIGHEST, "Gb F Ab G Bb Ab"),
        (NOCTURNE, "outer-voices", (21, 22), LOWEST, "F Fb"),
        (NOCTURNE, "outer-voices", (23, 24), HIGHEST, "D Eb"),
        (NOCTURNE, "outer-voices", (23, 24), LOWEST, "Fb Eb"),
        (NOCTURNE, "outer-voices", (32, 33), LOWEST, "Eb Fb"),
        (NOCTURNE, "as-written", (7, 7), LOWEST, "F Db Fb"),
        (NOCTURNE, "as-written", (25, 25), HIGHEST, "Cb"),
        (NOCTURNE, "as-written", (11, 11), HIGHEST, "E"),
        (NOCTURNE, "as-written", (13, 14), LOWEST, "D"),
        (NOCTURNE, "as-written", (14, 14), LOWEST, "B"),
        (NOCTURNE, "as-written", (37, 37), HIGHEST, "Fb"),
        (NOCTURNE, "as-written", (38, 38), HIGHEST, "F"),
        (INVENTION, "bass-line", (5, 7), LOWEST, "A F# G E F D"),
        (INVENTION, "as-written", (13, 14), LOWEST, "G# E G# A"),
        (INVENTION, "as-written", (14, 15), LOWEST, "B G B C"),
        (INVENTION, "as-written", (15, 16), LOWEST, "C# A C# D"),
        (INVENTION, "as-written", (1, 1), HIGHEST, "E F E D E C A"),
        (INVENTION, "as-written", (19, 19), LOWEST, "A G# A B A C E"),
        (INVENTION, "as-written", (28, 28), HIGHEST, "Bb"),
        (INVENTION, "as-written", (32, 32), HIGHEST, "C#"),
        (MARCH, "bass-line", (7, 8), LOWEST, "G# A"),
        (MARCH, "bass-line", (9, 10), LOWEST, "C B"),
        (MARCH, "bass-line", (20, 20), LOWEST, "C"),
        (MARCH, "as-written", (20, 20), HIGHEST, "D D C"),
        (MARCH, "outer-voices", (24, 25), HIGHEST, "B C D"),
        (MARCH, "outer-voices", (25, 26), LOWEST, "G A B C"),
        (MARCH, "as-written", (26, 26), HIGHEST, "E Eb"),
        (MARCH, "outer-voices", (27, 28), LOWEST, "Bb A"),
        (MARCH, "as-written", (27, 27), AT_ONCE, "Bb E G# D"),
        (MARCH, "outer-voices", (35, 36), HIGHEST, "E D"),
        (MARCH, "as-written", (36, 36), AT_ONCE, "Bb F D"),
    ],
)
def test_the_commentary_names_what_is_there(
    slug: str, stage: str, bars: tuple[int, int], line: str, named: str
) -> None:
    assert f" {named} " in f" {_line(slug, stage, bars, line)} "


def test_the_third_episode_is_the_first_with_the_hands_exchanged() -> None:
    for first, third in ((5, 25), (6, 26)):
        here, there = ((bar, bar) for bar in (first, third))
        assert _line(INVENTION, "as-written", here, HIGHEST) == _line(INVENTION, "as-written", there, LOWEST)
        assert _line(INVENTION, "as-written", here, LOWEST) == _line(INVENTION, "as-written", there, HIGHEST)


def test_the_tune_of_the_nocturne_comes_a_quaver_early_and_is_tied_over() -> None:
    score = ladder(NOCTURNE).score
    quaver = score.ticks(1) // 2
    early = {note.onset + quaver: note.end for note in score.notes if note.staff == 1}
    tied = {bar.number for bar in score.bars if early.get(bar.onset, 0) > bar.onset}
    assert {str(number) for number in (*range(2, 10), *range(26, 37), 40)} <= tied


def _line(slug: str, stage: str, bars: tuple[int, int], line: str) -> str:
    """The highest notes of the right hand, the lowest of the left, or all of the first attack; without octaves."""
    piece = ladder(slug)
    first, last = (next(bar for bar in piece.score.bars if bar.number == str(number)) for number in bars)
    inside = [note for note in piece.stages[stage].notes if first.onset <= note.onset < last.end and not note.grace]
    if line == AT_ONCE:
        inside = sorted((note for note in inside if note.onset == first.onset), key=lambda note: note.midi)
        names = dict.fromkeys(_name(note.pitch.step, note.pitch.alter) for note in inside)
        return " ".join(names)
    staff, choose = (1, max) if line == HIGHEST else (2, min)
    ordered = sorted((note for note in inside if note.staff == staff), key=lambda note: note.onset)
    chosen = [choose(group, key=lambda note: note.midi) for _, group in groupby(ordered, key=lambda note: note.onset)]
    return " ".join(_name(note.pitch.step, note.pitch.alter) for note in chosen)


def _name(step: str, alter: int) -> str:
    return step + "#" * alter + "b" * -alter
