"""Fits the weights of sitegen/analysis/depth/weights.py to the time-span trees of ../shared/melody, and prints them.

    python -m tests.benchmarks.fit_depth

Where a span divides: conditional logit over the places where it could. Which head wins: logistic regression.
Both by Newton's method with an L2 penalty, so the result is the same everywhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np
from numpy.typing import NDArray

from sitegen.analysis.depth import weights as depth_weights
from sitegen.analysis.depth.division import split_features
from sitegen.analysis.depth.ranking import head_features
from tests.benchmarks.tunes import Tune, load_tunes

SPLIT = ("SPLIT_NOTE", "SPLIT_NOTE_BY_SPAN", "SPLIT_PLACE")
HEAD = ("HEAD_NOTE", "HEAD_NOTE_BY_SPAN", "HEAD_HALVES", "HEAD_PAIR")
PENALTIES = {SPLIT: 1.0, HEAD: 3.0}
STEPS = 30
Tables = dict[str, dict[str, float]]


@dataclass(frozen=True)
class Division:
    """A span of a tree: notes ``first`` to before ``after``, the second half from ``middle``, and the halves' heads."""

    first: int
    middle: int
    after: int
    kept: int
    lost: int


def fitted(tunes: list[Tune]) -> Tables:
    """The tables of ``depth_weights`` as the trees of ``tunes`` would have them."""
    places: list[tuple[NDArray[np.float64], int]] = []
    duels: list[tuple[NDArray[np.float64], int]] = []
    for tune in tunes:
        for d in _divisions(tune):
            if d.after - d.first > 2:
                places.append((np.array(split_features(tune.evidence, d.first, d.after)), d.middle - d.first - 1))
            left, right = sorted((d.kept, d.lost))
            features = np.array(head_features(tune.evidence, d.first, d.middle, d.after, left, right))
            # a head wins over the other as a place wins over a place of no features
            row = features if d.kept == left else -features
            duels.append((np.stack([row, np.zeros_like(row)]), 0))
    found: Tables = {}
    for group, cases in ((SPLIT, places), (HEAD, duels)):
        weights = iter(_newton(cases, PENALTIES[group]))
        found |= {name: dict(zip(getattr(depth_weights, name), weights, strict=False)) for name in group}
    return found


def _newton(cases: list[tuple[NDArray[np.float64], int]], penalty: float) -> list[float]:
    size = cases[0][0].shape[1]
    weights = np.zeros(size)
    for _ in range(STEPS):
        gradient, curvature = -penalty * weights, penalty * np.eye(size)
        for rows, chosen in cases:
            z = rows @ weights
            chance = np.exp(z - z.max())
            chance /= chance.sum()
            mean = chance @ rows
            gradient = gradient + rows[chosen] - mean
            curvature = curvature + (rows.T * chance) @ rows - np.outer(mean, mean)
        weights = weights + np.linalg.solve(curvature, gradient)
    return [round(float(w), 2) for w in weights]


def _divisions(tune: Tune) -> list[Division]:
    """Each divided span of the tree."""
    found: list[Division] = []

    def head(span: ElementTree.Element) -> int | None:
        note = span.find("head/chord/note")
        match = re.fullmatch(r"P1-(\d+)-(\d+)", note.get("id", "") if note is not None else "")
        return tune.index.get((int(match[1]), int(match[2]))) if match else None

    def walk(span: ElementTree.Element) -> set[int]:
        own = head(span)
        notes = set() if own is None else {own}
        kept, lost = span.find("primary/ts"), span.find("secondary/ts")
        if kept is None or lost is None:
            for child in (kept, lost):
                notes |= walk(child) if child is not None else set()
            return notes
        sides = walk(kept), walk(lost)
        winner, loser = head(kept), head(lost)
        first, second = sorted(sides, key=lambda s: min(s, default=-1))
        if winner is not None and loser is not None and winner != loser and max(first) < min(second):
            found.append(Division(min(first), min(second), max(second) + 1, winner, loser))
        return notes | first | second

    root = tune.tree.find("ts")
    assert root is not None
    walk(root)
    return found


@contextmanager
def with_weights(weights: Tables) -> Iterator[None]:
    """Lets ``depth`` use other weights for a while."""
    before = {name: dict(getattr(depth_weights, name)) for name in weights}
    for name, table in weights.items():
        getattr(depth_weights, name).update(table)
    try:
        yield
    finally:
        for name, table in before.items():
            getattr(depth_weights, name).update(table)


if __name__ == "__main__":
    for name, table in fitted(load_tunes()).items():
        print(name)
        for feature, value in table.items():
            print(f'    "{feature}": {value},')
