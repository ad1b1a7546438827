"""What is known of each pitch class in a stretch that one chord may fill, and around it."""

from __future__ import annotations

import numpy as np
import pytest

from sitegen.analysis.harmony.beliefs import beliefs_of
from sitegen.analysis.harmony.evidence import evidence_of
from sitegen.analysis.harmony.grid import grid_of
from sitegen.analysis.harmony.lattice import lattice_of, softened
from sitegen.analysis.harmony.stretches import TONE_TABLES, stretches_of
from sitegen.analysis.harmony.weights import fitted
from tests.notation import score_of

C, D, E, F, G, A = 0, 2, 4, 5, 7, 9


def known(table: str, right: str, start: int, stop: int) -> np.ndarray:
    """The row of one table, by pitch class, for the stretch between two of the onsets of ``right``."""
    score = score_of(right=right)
    grid = grid_of(score)
    stretches = stretches_of(score, grid, evidence_of(score, grid))
    [row] = np.flatnonzero((stretches.start == start) & (stretches.stop == stop))
    return stretches.tones[row, TONE_TABLES.index(table)]


def test_a_tone_of_the_beat_before_is_still_in_the_ear():
    before = known("absent, heard before", "C4q E4q G4q A4q", 1, 2)
    assert np.flatnonzero(before).tolist() == [C]
    assert np.flatnonzero(known("absent, heard before", "C4q E4q G4q A4q", 2, 3)).tolist() == [E]


def test_a_tone_that_sounds_in_the_stretch_is_not_absent_whatever_comes_before():
    assert not known("absent, heard before", "C4q C4q G4q A4q", 1, 2).any()


def test_a_tone_of_the_beat_after_may_complete_a_chord_also_over_the_bar_line():
    assert np.flatnonzero(known("absent, heard after", "C4q E4q G4q A4q | F4w", 0, 1)).tolist() == [E]
    assert np.flatnonzero(known("absent, heard after", "C4q E4q G4q A4q | F4w", 3, 4)).tolist() == [F]


def test_absence_means_less_where_few_tones_sound():
    assert not known("absent among few", "C4+E4q G4q A4q F4q", 0, 1)[[C, E]].any()
    assert known("absent among few", "C4+E4q G4q A4q F4q", 0, 1)[[D, G]].all()
    assert not known("absent among few", "C4+E4+G4q G4q A4q F4q", 0, 1).any()


def test_the_share_of_the_bar_is_counted_inside_the_stretch_or_not():
    share = known("share of the bar", "C4h E4q C4q | G4w", 1, 2)
    assert share[C] == pytest.approx(0.75)
    assert share[E] == pytest.approx(0.25)
    assert share[G] == 0


def test_softened_readings_leave_rivals_more_of_a_chance():
    score = score_of(right="E4+G4+C5h F4+A4+C5h | D4+G4+B4h E4+G4+C5h", left="C3h F3h | G2h C3h")
    grid = grid_of(score)
    lattice = lattice_of(grid, stretches_of(score, grid, evidence_of(score, grid)), fitted().chords)
    sure, less = (beliefs_of(one).chord.max(axis=1) for one in (lattice, softened(lattice, 0.5)))
    assert (less < sure).all()
