"""How far depth agrees with the hand-made time-span trees of ../shared/melody, without starting a process a tune.

    python tests/benchmarks/melody_agreement.py

Prints the shares of score.py there (half, quarter, eighth, mean) with the weights as they are and with nine-fold
cross-validation, each in two ways: as score.py counts notes, and with the tree's notes counted as the trees count them.
(The trees number the rests of a bar together with its notes. score.py does not, so where a bar holds a rest before a
note it compares different notes; its own truth, so counted, reaches 0.948 by the first way.)
"""

from __future__ import annotations

import importlib.util
import re
import sys
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from sitegen.analysis import analyse  # noqa: E402
from sitegen.analysis.depth import expected_depths  # noqa: E402
from sitegen.analysis.line_division import divide  # noqa: E402
from sitegen.analysis.line_evidence import Evidence, gather_evidence  # noqa: E402
from sitegen.score import Score, read_score  # noqa: E402

MELODY = ROOT.parent / "shared" / "melody"
FOLDS = 9


@dataclass
class Tune:
    """A tune with what its tree says: ``worth`` by note index; ``as_counted`` pairs score.py's worth with an index."""

    name: str
    score: Score
    evidence: list[Evidence]
    worth: dict[int, float]
    as_counted: list[tuple[float, int]]
    tree: ElementTree.Element
    index: dict[tuple[int, int], int]


def load_tunes() -> list[Tune]:
    """All tunes with their trees. Raises ``SystemExit`` where the folder is absent."""
    if not MELODY.is_dir():
        raise SystemExit(f"{MELODY} is not there")
    importance = _measure().importance
    return [_tune(folder, importance(folder / "time-span-tree.xml")) for folder in sorted((MELODY / "tunes").iterdir())]


def _measure() -> ModuleType:
    spec = importlib.util.spec_from_file_location("measure", MELODY / "score.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _tune(folder: Path, importance: dict[tuple[int, int], float]) -> Tune:
    score = read_score(folder / "melody.musicxml")
    analysis = analyse(score)
    chain = tuple(note.id for note in score.notes if not note.grace)
    [evidence] = gather_evidence(score, analysis.harmonies, analysis.notes, [("melody", chain)])
    place = {e.id: i for i, e in enumerate(evidence)}
    heads = sorted((h.bar, h.onset, place[n.id]) for n in score.notes if n.id in place for h in n.noteheads)
    at = {(bar, onset): i for bar, onset, i in heads}
    index = {key: at[where] for key, where in _written(folder, score).items() if where in at}
    worth: dict[int, float] = {}
    for key, value in importance.items():
        worth[index[key]] = max(worth.get(index[key], 0.0), value)
    counted: dict[int, int] = {}
    as_counted = []
    for bar, _, i in heads:
        digits = re.sub(r"\D", "", score.bars[bar].number)
        if digits:
            counted[int(digits)] = counted.get(int(digits), 0) + 1
            if (int(digits), counted[int(digits)]) in importance:
                as_counted.append((importance[int(digits), counted[int(digits)]], i))
    return Tune(folder.name, score, evidence, worth, as_counted,
                ElementTree.parse(folder / "time-span-tree.xml").getroot(), index)  # fmt: skip


def _written(folder: Path, score: Score) -> dict[tuple[int, int], tuple[int, int]]:
    """Bar number and count (rests counted too) of each written note, to its bar index and onset in ticks."""
    found, divisions = {}, 1
    for bar, measure in zip(
        score.bars, ElementTree.parse(folder / "melody.musicxml").getroot().iter("measure"), strict=True
    ):
        at = Fraction(0)
        divisions = int(measure.findtext("attributes/divisions") or divisions)
        for count, note in enumerate(measure.iter("note"), 1):
            if note.find("rest") is None:
                found[int(measure.get("number", "0")), count] = bar.index, bar.onset + score.ticks(at)
            at += Fraction(int(note.findtext("duration") or 0), divisions)
    return found


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
    from fit_depth import fitted, with_weights

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
