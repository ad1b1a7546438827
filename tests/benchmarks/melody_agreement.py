"""How far depth agrees with the hand-made time-span trees of ../shared/melody, without starting a process a tune.

    python -m tests.benchmarks.melody_agreement

Prints the shares of score.py there (half, quarter, eighth, mean) with the weights as they are and with nine-fold
cross-validation, each in two ways: as score.py counts notes, and with the tree's notes counted as the trees count them.
(The trees number the rests of a bar together with its notes. score.py does not, so where a bar holds a rest before a
note it compares different notes; its own truth, so counted, reaches 0.948 by the first way.)
"""

from __future__ import annotations

import numpy as np

from sitegen.analysis.depth.division import divide
from sitegen.analysis.depth.ranking import expected_depths
from tests.benchmarks.fit_depth import fitted, with_weights
from tests.benchmarks.tunes import Tune, load_tunes

FOLDS = 9


def agreement(worths: list[float], depths: list[float]) -> list[float]:
    """Of the deepest half, quarter and eighth, the share that the tree puts there too; ties go to the earlier note."""
    ranked = sorted(range(len(worths)), key=lambda i: (-depths[i], i))
    shares = []
    for share in (0.5, 0.25, 0.125):
        count = max(1, round(len(worths) * share))
        cut = sorted(worths, reverse=True)[count - 1]
        shares.append(sum(worths[i] >= cut - 1e-9 for i in ranked[:count]) / count)
    return shares


def both_ways(tune: Tune, depths: list[float]) -> tuple[list[float], list[float]]:
    """``agreement`` as score.py counts the notes, and as the trees do."""
    indices = sorted(tune.worth)
    counted = agreement([w for w, _ in tune.as_counted], [depths[i] for _, i in tune.as_counted])
    return counted, agreement([tune.worth[i] for i in indices], [depths[i] for i in indices])


def show(title: str, results: list[tuple[list[float], list[float]]]) -> None:
    for way, name in enumerate(("as score.py counts", "as the trees count")):
        mean = np.mean([r[way] for r in results], axis=0)
        print(
            f"{title:16} {name:19} half {mean[0]:.3f}  quarter {mean[1]:.3f}  eighth {mean[2]:.3f}"
            f"  mean {mean.mean():.3f}"
        )


def main() -> None:
    tunes = load_tunes()
    show("as it stands", [both_ways(t, expected_depths(t.evidence, divide(t.evidence))) for t in tunes])
    results = []
    for fold in range(FOLDS):
        weights = fitted([t for i, t in enumerate(tunes) if i % FOLDS != fold])
        with with_weights(weights):
            results += [both_ways(t, expected_depths(t.evidence, divide(t.evidence))) for t in tunes[fold::FOLDS]]
    show("cross-validated", results)


if __name__ == "__main__":
    main()
