"""Fits the weights of sitegen/analysis/depth_weights.py to the time-span trees of ../shared/melody, and prints them.

    python tests/benchmarks/fit_depth.py

Where a span divides: conditional logit over the places where it could. Which head wins: logistic regression.
Both by Newton's method with an L2 penalty, so the result is the same everywhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from xml.etree import ElementTree

import numpy as np
from melody_agreement import Tune, load_tunes
from numpy.typing import NDArray

from sitegen.analysis.depth import Span, head_features, split_features
from sitegen.analysis.depth_weights import HEAD, SPLIT

PENALTY = 1.0
STEPS = 30
Weights = tuple[dict[str, float], dict[str, float]]


def fitted(tunes: list[Tune]) -> Weights:
    """``SPLIT`` and ``HEAD`` as the trees of ``tunes`` would have them."""
    places: list[tuple[NDArray[np.float64], int]] = []
    heads: list[NDArray[np.float64]] = []
    for tune in tunes:
        for span, winner, loser in _divisions(tune):
            if span.after - span.first > 2:
                places.append(
                    (np.array(split_features(tune.evidence, span.first, span.after)), span.middle - span.first - 1)
                )
            left, right = sorted((winner, loser))
            features = np.array(head_features(tune.evidence, span, left, right))
            heads.append(features if winner == left else -features)
    # a head wins over the other as a place wins over a place of no features
    duels = [(np.stack([row, np.zeros_like(row)]), 0) for row in heads]
    return dict(zip(SPLIT, _newton(places), strict=True)), dict(zip(HEAD, _newton(duels), strict=True))


def _newton(cases: list[tuple[NDArray[np.float64], int]]) -> list[float]:
    size = cases[0][0].shape[1]
    weights = np.zeros(size)
    for _ in range(STEPS):
        gradient, curvature = -PENALTY * weights, PENALTY * np.eye(size)
        for rows, chosen in cases:
            z = rows @ weights
            chance = np.exp(z - z.max())
            chance /= chance.sum()
            mean = chance @ rows
            gradient = gradient + rows[chosen] - mean
            curvature = curvature + (rows.T * chance) @ rows - np.outer(mean, mean)
        weights = weights + np.linalg.solve(curvature, gradient)
    return [round(float(w), 2) for w in weights]


def _divisions(tune: Tune) -> Iterator[tuple[Span, int, int]]:
    """Each divided span of the tree, with the indices of the head that is kept and the one that is not."""
    found: list[tuple[Span, int, int]] = []

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
            found.append((Span(min(first), max(second) + 1, min(second)), winner, loser))
        return notes | first | second

    root = tune.tree.find("ts")
    assert root is not None
    walk(root)
    return iter(found)


@contextmanager
def with_weights(weights: Weights) -> Iterator[None]:
    """Lets ``depth`` use other weights for a while."""
    before = dict(SPLIT), dict(HEAD)
    for table, new in zip((SPLIT, HEAD), weights, strict=True):
        table.update(new)
    try:
        yield
    finally:
        for table, old in zip((SPLIT, HEAD), before, strict=True):
            table.update(old)


if __name__ == "__main__":
    for name, table in zip(("SPLIT", "HEAD"), fitted(load_tunes()), strict=True):
        print(name)
        for feature, value in table.items():
            print(f'    "{feature}": {value},')
