"""Which tone of a chord is its bass, and where it moves while the chord stays."""

from __future__ import annotations

import numpy as np

from sitegen.analysis.harmony.bass import bass_line
from sitegen.analysis.harmony.bass_cues import CONTEXT, CUES, BassTable, bass_table
from sitegen.analysis.harmony.contrasts import contrasts_of
from sitegen.analysis.harmony.evidence import evidence_of
from sitegen.analysis.harmony.grid import grid_of
from sitegen.analysis.harmony.weights import fitted
from sitegen.score import Score
from tests.notation import score_of

D_MAJOR, B_FLAT_MAJOR, C_MAJOR = 2, 10, 0
C, D, E, F_SHARP, B_FLAT = 0, 2, 4, 6, 10


def table_of(score: Score, chord: int) -> BassTable:
    """The table of a score that stays on one chord."""
    grid = grid_of(score)
    evidence = evidence_of(score, grid)
    return bass_table(grid, evidence, contrasts_of(grid, evidence), np.full(len(grid), chord))


def basses(score: Score, chord: int) -> list[int]:
    """The bass, as a pitch class, at each onset of the score."""
    return bass_line(table_of(score, chord), fitted().bass).tolist()


def cue(name: str, table: BassTable, start: int, stop: int) -> list[int]:
    """The pitch classes that have a cue in the stretch between two onsets."""
    [row] = np.flatnonzero((table.start == start) & (table.stop == stop))
    return np.flatnonzero(table.cues[row, :, CUES.index(name)]).tolist()


def test_a_melody_alone_before_the_left_hand_enters_is_no_bass():
    score = score_of(right="D6q r r", left="rq F#4+A4 F#4+A4", metre="3/4")
    assert basses(score, D_MAJOR) == [F_SHARP] * 3


def test_a_bass_that_enters_after_the_melody_is_not_late():
    silent = table_of(score_of(right="D6q r r", left="rq F#4+A4 F#4+A4", metre="3/4"), D_MAJOR)
    sounding = table_of(score_of(right="D6q r r", left="A4q F#4+A4 F#4+A4", metre="3/4"), D_MAJOR)
    whole = np.flatnonzero((silent.start == 0) & (silent.stop == 3))
    assert silent.late[whole, F_SHARP] == 0
    assert sounding.late[whole, F_SHARP] == 1


def test_quarters_move_the_bass_in_cut_time_as_beats_do():
    line = "Bb2+Bb3q D3+D4h D3+Bb3q"
    cut = table_of(score_of(right="F5w", left=line, metre="2/2"), B_FLAT_MAJOR)
    common = table_of(score_of(right="F5w", left=line, metre="4/4"), B_FLAT_MAJOR)
    assert cut.level.tolist() == common.level.tolist() == [0, 2, 2]
    assert basses(score_of(right="F5w", left=line, metre="2/2"), B_FLAT_MAJOR) == [B_FLAT, D, D]


def test_cues_of_the_lowest_staff_leave_the_right_hand_out():
    table = table_of(score_of(right="C4q G5 E4 G5", left="rq E4 C4 G3"), C_MAJOR)
    assert cue("lowest chord tone", table, 0, 2) == [C]
    assert cue("lowest chord tone in the lowest staff", table, 0, 2) == [E]
    assert cue("first lowest in the lowest staff", table, 0, 4) == [E]
    assert cue("first lowest in the lowest staff", table, 0, 1) == []


def test_the_time_left_for_the_chord_ends_at_the_bar_line():
    table = table_of(score_of(right="C5w | C5w", left="C3h E3h | C3q E3 G3 C3"), C_MAJOR)
    left = table.context[:, CONTEXT.index("time left for the chord")]
    assert left.tolist() == [1, 0.5, 1, 0.75, 0.5, 0.25]
