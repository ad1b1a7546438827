"""Where no harmony is found: eight bars around a place that are not believed in, or hold too little or all at once."""

from __future__ import annotations

import numpy as np
import pytest

from sitegen.analysis.harmony.beliefs import Beliefs
from sitegen.analysis.harmony.chords import CHORDS, WIDTH
from sitegen.analysis.harmony.doubts import doubtful
from sitegen.analysis.harmony.evidence import evidence_of
from sitegen.analysis.harmony.grid import grid_of
from tests.notation import score_of

C_MAJOR = 0


def doubted(right: str, belief: float | list[float], metre: str = "4/4") -> list[int]:
    """The bars in which C major, believed in so much (bar by bar), is not given."""
    score = score_of(right=right, metre=metre)
    grid = grid_of(score)
    chords = np.full(len(grid), C_MAJOR)
    sure = np.zeros((len(grid), len(CHORDS)))
    sure[:, C_MAJOR] = belief if isinstance(belief, float) else np.array(belief)[grid.bar]
    beliefs = Beliefs(sure, np.zeros((len(grid), 24, WIDTH)), np.zeros(len(grid)))
    return sorted({int(bar) for bar in grid.bar[doubtful(grid, evidence_of(score, grid), beliefs, chords) > 0]})


def test_the_eight_bars_around_a_place_are_asked_together():
    """Three bars that are hardly believed in: four bars before a place and as many from it on are asked, and where all
    three are among them there is no harmony."""
    believed = [0.6] * 10 + [0.29] * 3 + [0.6] * 17
    assert doubted("C4+E4+G4w " * 30, believed) == list(range(9, 15))


def test_a_harmony_is_given_that_is_half_believed():
    assert doubted("C4+E4+G4w", 0.51) == []
    assert doubted("C4+E4+G4w", 0.49) == [0]


def test_two_different_tones_are_no_harmony_whatever_is_believed():
    assert doubted("C4+E4w", 1.0) == [0]
    assert doubted("C4+E4+G4w", 1.0) == []


ELEVEN = "C4q C#4 D4 Eb4 E4 F4 F#4 G4 Ab4 A4 Bb4"


@pytest.mark.parametrize(
    ("last", "belief", "found"),
    [("B4e", 0.75, True), ("B4e", 0.65, False), ("B4s", 0.65, True), ("B4s", 0.45, False)],
)
def test_amid_all_twelve_tones_seven_tenths_must_be_believed(last: str, belief: float, found: bool):
    """They are all there if the shortest sounds half as long as the others, not if a quarter as long."""
    assert (doubted(f"{ELEVEN} {last}", belief, "12/4") == []) == found
