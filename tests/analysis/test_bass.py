"""Which tone of a chord is its bass, and where it moves while the chord stays."""

from __future__ import annotations

import numpy as np
import pytest

from sitegen.analysis.harmony.bass import LABELS, BassWeights, bass_line, scores_of
from sitegen.analysis.harmony.bass_cues import CONTEXT, CUES, BassTable, bass_table
from sitegen.analysis.harmony.contrasts import contrasts_of
from sitegen.analysis.harmony.evidence import evidence_of
from sitegen.analysis.harmony.grid import grid_of
from sitegen.analysis.harmony.weights import fitted
from sitegen.score import Score
from tests.notation import score_of

D_MAJOR, B_FLAT_MAJOR, C_MAJOR = 2, 10, 0
C, D, E, F_SHARP, G, B_FLAT = 0, 2, 4, 6, 7, 10


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


def weights(**tables: dict[str, float]) -> BassWeights:
    """Weights that are nothing but these."""
    found = {name: np.zeros(len(labels)) for name, labels in LABELS.items()}
    for name, values in tables.items():
        for label, value in values.items():
            found[name][LABELS[name].index(label)] = value
    return found


@pytest.mark.parametrize(
    ("left", "place", "borne", "too_much"),
    [("C3h E3h", "at the half bar", 10.8, 12.0), ("C3q E3h.", "at a beat", 9.0, 9.6)],
)
def test_a_bass_that_moves_under_its_chord_is_helped_at_the_half_bar_more_than_at_a_beat(left, place, borne, too_much):
    """How much may speak against the second bass, where six speak for each that is the lowest all the time."""
    table = table_of(score_of(right="C6w", left=left), C_MAJOR)
    for against, both in ((borne, True), (too_much, False)):
        model = weights(cue={"share of time as lowest": 6.0}, place={place: -against})
        assert (bass_line(table, model).tolist() == [C, E]) == both


def test_a_tone_that_is_lowest_for_three_beats_of_four_is_the_bass_if_half_the_bar_outweighs_that_it_is_late():
    table = table_of(score_of(right="C6w", left="G3q C3h."), C_MAJOR)
    for share, bass in ((1.2, G), (1.9, C)):
        model = weights(cue={"share of time as lowest": share}, place={"at a beat": -50.0})
        assert bass_line(table, model).tolist() == [bass, bass]


def test_a_bass_moves_by_as_many_semitones_up_as_its_interval_has():
    score = score_of(right="E4+G4+C5w | F4+A4+C5w", left="C3w | F3w")
    grid = grid_of(score)
    evidence = evidence_of(score, grid)
    table = bass_table(grid, evidence, contrasts_of(grid, evidence), np.array([0, 5]))
    _, step = scores_of(table, weights(motion={f"by {k}": float(k) for k in range(12)}))
    assert step.shape == (2, 12, 12)
    assert [[step[1, a, b] for b in range(12)] for a in range(12)] == [
        [(b - a) % 12 for b in range(12)] for a in range(12)
    ]


def test_what_a_stretch_of_bass_lasts_is_told_in_four_classes():
    """Up to three quarters of a beat, one and a half, two and a half, and more."""
    classes = {}
    for metre, left in (("4/4", "C3q E3 G3 C3"), ("6/8", "C3e E3 G3 C3 E3 G3"), ("2/2", "C3q E3 C3 G3")):
        score = score_of(right="C5q", left=left, metre=metre)
        grid, table = grid_of(score), table_of(score, C_MAJOR)
        for start, stop, length in zip(table.start, table.stop, table.length, strict=True):
            classes[float((grid.edges[stop] - grid.edges[start]) / grid.beat[start])] = int(length)
    assert {beats: kind for beats, kind in classes.items() if beats in (0.5, 1, 1.5, 2, 3, 4)} == {
        0.5: 0, 1.0: 1, 1.5: 1, 2.0: 2, 3.0: 3, 4.0: 3
    }  # fmt: skip


def test_a_bass_leaps_that_goes_over_a_fifth():
    def leaps(left, name):
        table = table_of(score_of(right="C6h", left=left, metre="2/4"), C_MAJOR)
        return bool(table.context[1, CONTEXT.index(name)])

    assert not leaps("C3q G3", "up over a fifth")
    assert leaps("E3q C4", "up over a fifth")
    assert not leaps("G3q C3", "down over a fifth")
    assert leaps("C4q E3", "down over a fifth")


def test_how_far_a_tone_lies_above_the_lowest_of_its_bar_is_told_in_octaves_and_two_at_most():
    table = table_of(score_of(right="E5w", left="C3+G3w"), C_MAJOR)
    above = table.cues[0, :, CUES.index("octaves above the lowest of the bar")]
    assert above[[C, E, G]].tolist() == [0, 2, 7 / 12]
