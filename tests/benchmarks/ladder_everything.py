"""Build the ladder of every real score and print what comes out: stages, note counts, remedies, broken invariants.

    python -m tests.benchmarks.ladder_everything [--brief] [NAME ...]

Reads ../shared (34 scores, and the scores of the 123 annotated pieces); ends with status 1 if an invariant is broken.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter, defaultdict
from itertools import pairwise
from statistics import median

from sitegen.analysis.analysing import analyse
from sitegen.errors import SitegenError
from sitegen.reduction import Stage, build_ladder
from sitegen.score import read_score
from tests.benchmarks.shared import SHARED
from tests.reduction.invariants import violations


def main() -> int:
    """Print a line for each score and the totals."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="only scores whose path holds one of these")
    parser.add_argument("--brief", action="store_true", help="the totals only")
    options = parser.parse_args()
    files = sorted((SHARED / "scores").glob("*")) + sorted((SHARED / "harmony/pieces").glob("*/score.mxl"))
    if options.names:
        files = [file for file in files if any(name in str(file) for name in options.names)]
    if not files:
        print(f"no scores in {SHARED}: nothing is measured")
        return 1
    totals: Counter[str] = Counter()
    shares: dict[str, list[float]] = defaultdict(list)
    broken = 0
    for file in files:
        name = file.stem if file.parent.name == "scores" else file.parent.name
        try:
            score = read_score(file)
        except SitegenError as error:
            print(f"{name}: cannot be read: {error}")
            totals["unread"] += 1
            continue
        analysis = analyse(score)
        start = time.process_time()
        stages = build_ladder(score, analysis)
        seconds = time.process_time() - start
        wrong = violations(score, analysis, stages)
        broken += len(wrong)
        _count(totals, stages)
        for stage in stages:
            shares[stage.techniques[0]].append(len(stage.notes) / len(score.notes))
        if not options.brief:
            print(f"{name}: {len(score.notes)} notes, {seconds:.2f} s")
            for stage in stages:
                mark = "  (side study)" if stage.side_study else ""
                print(f"    {len(stage.notes):6d}  {stage.difficulty.value:6.1f}  {stage.title}{mark}")
        for what in wrong[:10]:
            print(f"{name}: BROKEN {what}")
    print("\nnotes of each stage, of a hundred of the score: median over the scores that have it")
    for name, found in sorted(shares.items(), key=lambda item: median(item[1])):
        print(f"{100 * median(found):7.1f}  {name} ({len(found)})")
    print()
    for what, count in sorted(totals.items()):
        print(f"{count:7d}  {what}")
    print(f"{broken:7d}  invariants broken")
    return 1 if broken else 0


def _count(totals: Counter[str], stages: tuple[Stage, ...]) -> None:
    ladder = [stage for stage in stages if not stage.side_study]
    totals["scores"] += 1
    totals[f"scores with {len(ladder):2d} stages"] += 1
    totals["side studies"] += len(stages) - len(ladder)
    totals["pairs of neighbours"] += len(ladder) - 1
    for one, other in pairwise(ladder):
        same = [(n.onset, n.duration, n.midi) for n in one.notes] == [
            (n.onset, n.duration, n.midi) for n in other.notes
        ]
        totals["neighbours that are the same"] += same
        totals["neighbours that do not grow in difficulty"] += one.difficulty.value >= other.difficulty.value
    for stage in stages:
        for hand in stage.hands:
            for place in hand.places:
                totals[f"wide stretches: {place.remedy}"] += 1


if __name__ == "__main__":
    raise SystemExit(main())
