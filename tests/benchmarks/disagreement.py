"""Where the harmonies disagree with human analysts: kinds of disagreement, their share of the time, and bars.

    python -m tests.benchmarks.disagreement [FOLDER] [--only k545 wtc1]

FOLDER is ``../shared/harmony``. A line for each kind: the share of all cells, the share of these in which a second
analyst differs from the first too (where there is one), and the bars with most of them.
"""

from __future__ import annotations

import argparse
from collections import Counter, defaultdict
from pathlib import Path

from tests.benchmarks.harmony_agreement import each_heard
from tests.benchmarks.shared import measures_in

BARS = 6
_NEAR = 4
"""Cells to either side in which the same chord elsewhere counts as one placed earlier or later."""


def kind_of(cell: tuple, truth: tuple, around: list[tuple]) -> str:
    """In words how a cell (pitch classes, bass, root) of ours differs from the analyst's; ``around`` are theirs."""
    mine, theirs = cell[0], truth[0]
    if not mine:
        return "no harmony found"
    if any(mine == other[0] for other in around):
        return "the change stands earlier or later, by a quarter at most"
    if cell[2] != truth[2]:
        return f"other root, {'two or more tones' if len(mine & theirs) > 1 else 'one tone at most'} shared"
    if mine < theirs:
        return "same root, the analyst hears more tones (a seventh)"
    return "same root, we hear more tones (a seventh)" if mine > theirs else "same root, other quality"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", nargs="?", type=Path, default=Path("../shared/harmony"))
    parser.add_argument("--only", nargs="*", default=[""])
    options = parser.parse_args()
    measures = measures_in(options.folder)
    bars: dict[tuple[str, str], Counter] = defaultdict(Counter)
    second: dict[tuple[str, str], list[bool]] = defaultdict(list)
    cells: Counter = Counter()
    for place, group, (mine, truth, again, _) in each_heard(measures, options.folder, options.only):
        places = sorted(truth)
        cells[group] += len(places)
        for i, cell in enumerate(places):
            if cell in mine and mine[cell][0] != truth[cell][0]:
                around = [truth[near] for near in places[max(0, i - _NEAR) : i + _NEAR + 1]]
                key = group, kind_of(mine[cell], truth[cell], around)
                bars[key][f"{place.name} {cell[0]}"] += 1
                if again and cell in again:
                    second[key].append(again[cell][0] != truth[cell][0])
    for key in sorted(bars, key=lambda k: (k[0], -bars[k].total())):
        shared = f", {sum(second[key]) / len(second[key]):.0%} shared by the second analyst" if second[key] else ""
        most = ", ".join(name for name, _ in bars[key].most_common(BARS))
        print(f"{key[0]}: {bars[key].total() / cells[key[0]]:.3f} {key[1]}{shared}: {most}")


if __name__ == "__main__":
    main()
