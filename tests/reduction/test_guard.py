"""What a ladder finds again of music whose skeleton is known, and how far harmonies agree with people: no worse than
now. A floor is a little below today's figure; it is raised with it, never lowered to let a change pass."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from statistics import mean

import pytest

from sitegen.analysis.analyse import analyse
from sitegen.reduction import build_ladder
from sitegen.score import Score, read_score
from tests.reduction.dressed_chorales import CHORALES, dressed

SHARED = Path(__file__).resolve().parents[3] / "shared"
Wanted = frozenset[tuple[int, int]]


@cache
def found(name: str, dress: str) -> dict[str, float]:
    """F1 of the best stage for each question, 0 to 1; a note that is held on counts as there."""
    score, truth = dressed(name, dress)
    stages = [[n for n in stage.notes if not n.grace] for stage in build_ladder(score, analyse(score))]
    q = score.ticks_per_quarter

    def best(wanted: Wanted, tops: bool = False) -> float:
        return max(f1([n for n in notes if not tops or n.staff == 1], wanted, q) for notes in stages)

    return {
        "bass": best(truth.bass),
        "blocks": best(truth.blocks | truth.tune),
        "tune": best(truth.tune, tops=True),
        "leaning": best(truth.leaning, tops=True),
    }


def f1(notes, wanted: Wanted, q: int) -> float:
    right = sum((n.onset / q, n.midi) in wanted for n in notes)
    there = sum(any(n.onset <= at * q < n.end and n.midi == midi for n in notes) for at, midi in wanted)
    if not right or not there:
        return 0.0
    precision, recall = right / len(notes), there / len(wanted)
    return 2 * precision * recall / (precision + recall)


# the mean over the chorales below which nothing may fall
FLOORS = {
    "alberti": {"bass": 0.98, "blocks": 0.95, "tune": 0.98},
    "bass and chord": {"bass": 0.98, "blocks": 0.95, "tune": 0.98},
    "shared": {"bass": 0.98, "blocks": 0.98, "tune": 0.98},
    "triplets": {"bass": 0.98, "blocks": 0.95, "tune": 0.98},
    # a note that leans over a whole beat may be heard as one of the chord
    "leaning": {"bass": 0.95, "blocks": 0.82, "tune": 0.55, "leaning": 0.98},
}


@pytest.mark.parametrize("dress", FLOORS)
def test_a_dressed_chorale_is_found_again(dress):
    pytest.importorskip("music21")
    for question, floor in FLOORS[dress].items():
        figure = mean(found(name, dress)[question] for name in CHORALES)
        assert figure >= floor, f"{question}: {figure:.3f}"


# chord tones (F1) and bass (share of the time) that agree with the analyst's
AGREEMENT = {"k545-2": (0.95, 0.94), "song-000": (0.91, 0.89), "wtc1-prelude-21": (0.89, 0.75)}


@pytest.mark.parametrize("name", AGREEMENT)
def test_the_harmony_of_a_piece_agrees_with_its_analyst(name):
    from tests.benchmarks.harmony_agreement import analysed, measure
    from tests.benchmarks.shared import measures_in

    place = SHARED / "harmony" / "pieces" / name
    if not place.exists():
        pytest.skip(f"{place} is not here")
    score: Score = read_score(place / "score.mxl")
    result, _, _ = measure(measures_in(SHARED / "harmony"), place, analysed(score))
    tones, bass = AGREEMENT[name]
    assert result["tones"] >= tones
    assert result["bass"] >= bass
