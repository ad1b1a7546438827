"""What fitting counts over all readings is how their sum grows with each thing that a reading is made of."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sitegen.analysis.harmony.evidence import evidence_of
from sitegen.analysis.harmony.grid import grid_of
from sitegen.analysis.harmony.lattice import Lattice, lattice_of
from sitegen.analysis.harmony.stretches import stretches_of
from sitegen.analysis.harmony.weights import fitted
from tests.benchmarks.expected import Counts, expected
from tests.notation import score_of

A_LITTLE = 1e-4


@pytest.fixture(scope="module")
def turning() -> Lattice:
    """From C major to G and on, with bars of two and four onsets."""
    score = score_of(right="E5q G5q F5q D5q | C5h D5h | F#5q A5q C6q A5q | G5h B4h", left="C4w | A3h F#3h | D3w | G3w")
    grid = grid_of(score)
    stretches = stretches_of(score, grid, evidence_of(score, grid))
    return lattice_of(grid, stretches, fitted().chords, fitted().mixtures)


@pytest.fixture(scope="module")
def counts(turning: Lattice) -> Counts:
    return expected(turning)[1]


@pytest.mark.parametrize(
    ("table", "counted"),
    [
        ("chord", "chord"), ("key", "key"), ("change", "change"), ("run_on", "run_on"), ("steps", "stepped"),
        ("opening", "opening"),
    ],
)  # fmt: skip
def test_a_thing_is_counted_as_much_as_all_readings_gain_by_it(
    turning: Lattice, counts: Counts, table: str, counted: str
):
    expectation = getattr(counts, counted)
    likely = np.argsort(-expectation.ravel())[:3]
    assert expectation.ravel()[likely[0]] > 0.01
    for place in likely:
        scores = getattr(turning, table).copy()
        scores.flat[place] += A_LITTLE
        more, _ = expected(replace(turning, **{table: scores}))
        scores.flat[place] -= 2 * A_LITTLE
        less, _ = expected(replace(turning, **{table: scores}))
        assert (more - less) / (2 * A_LITTLE) == pytest.approx(expectation.flat[place], abs=1e-5)


def test_a_turn_to_another_key_is_counted_as_much_as_all_readings_gain_where_it_is_dear_alike_in_all_keys(
    turning: Lattice, counts: Counts
):
    major_to_its_dominant = [(tonic, (tonic + 7) % 12) for tonic in range(12)]
    scores = {}
    for more in (-A_LITTLE, A_LITTLE):
        key_steps = turning.key_steps.copy()
        for pair in major_to_its_dominant:
            key_steps[pair] += more
        scores[more], _ = expected(replace(turning, key_steps=key_steps))
    counted = sum(counts.heard_as[pair] for pair in major_to_its_dominant)
    assert counted > 0.01
    assert (scores[A_LITTLE] - scores[-A_LITTLE]) / (2 * A_LITTLE) == pytest.approx(counted, abs=1e-5)


def test_every_moment_has_one_chord_in_one_key(turning: Lattice, counts: Counts):
    for by_stretch in (counts.chord.sum(axis=1), counts.key.sum(axis=1)):
        held = np.zeros(len(turning.change))
        for start, stop, share in zip(turning.start, turning.stop, by_stretch, strict=True):
            held[start:stop] += share
        assert held == pytest.approx(np.ones(len(held)))
