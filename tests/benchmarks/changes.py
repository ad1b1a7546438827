"""Where the changes of harmony disagree with human analysts' (``bounds`` of ``score.py``), by kind of change.

    python -m tests.benchmarks.changes [FOLDER] [--only k545 wtc1]

FOLDER is ``../shared/harmony``. For each collection: changes that only the analyst has, and those that only we have,
each kind with its share of all changes of the one who has it, and how often a second analyst, where there is one, sides
with us against the first.
"""

from __future__ import annotations

import argparse
from collections import Counter, defaultdict
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

from sitegen.analysis.harmony.chords import QUALITIES
from tests.benchmarks.harmony_agreement import each_heard
from tests.benchmarks.shared import measures_in

_CHORDS = {frozenset((root + tone) % 12 for tone in quality.tones) for quality in QUALITIES for root in range(12)}


class Held(NamedTuple):
    """A chord from its first cell until the tones change."""

    first: tuple[int, int]
    tones: frozenset[int]
    root: int | None


def held(grid: dict) -> list[Held]:
    """The chords of a grid of cells in order."""
    runs = groupby(sorted(grid), key=lambda cell: grid[cell][0])
    firsts = ((next(iter(cells)), tones) for tones, cells in runs)
    return [Held(first, tones, grid[first][2]) for first, tones in firsts]


def kind_of(chords: list[Held], place: int) -> str:
    """In words what the change to the chord at ``place`` is."""
    if not place:
        return "the beginning"
    one, other = chords[place - 1], chords[place]
    if not (one.tones in _CHORDS and other.tones in _CHORDS):
        return "a suspension that is written as a chord of its own, or its resolution"
    if one.root == other.root:
        gains, loses = one.tones < other.tones, other.tones < one.tones
        return f"same root, {'a tone more' if gains else 'a tone less' if loses else 'other quality'}"
    returns = chords[place + 1 : place + 2] + chords[max(0, place - 2) : max(0, place - 1)]
    if returns and (returns[0].tones == one.tones or returns[-1].tones == other.tones):
        return "to or from a chord between twice the same (passing, neighbouring)"
    return f"other root, {len(one.tones & other.tones)} tones shared"


def near(cell: tuple[int, int], cells: set) -> bool:
    """Whether one of ``cells`` is within a sixteenth, as the measure has it."""
    return any((cell[0], cell[1] + away) in cells for away in (-1, 0, 1))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", nargs="?", type=Path, default=Path("../shared/harmony"))
    parser.add_argument("--only", nargs="*", default=[""])
    options = parser.parse_args()
    measures = measures_in(options.folder)
    kinds: dict[tuple[str, str], Counter] = defaultdict(Counter)
    sided: dict[tuple[str, str, str], list[bool]] = defaultdict(list)
    total: Counter = Counter()
    for _, group, (mine, truth, again, _) in each_heard(measures, options.folder, options.only):
        third = measures.changes(again) if again else None
        for who, own, others in (("only the analyst", truth, mine), ("only we", mine, truth)):
            chords, changes = held(own), measures.changes(others)
            total[group, who] += len(chords)
            for i, chord in enumerate(chords):
                if not near(chord.first, changes):
                    kind = kind_of(chords, i)
                    kinds[group, who][kind] += 1
                    if third is not None:
                        sided[group, who, kind].append(near(chord.first, third) == (own is mine))
    for (group, who), found in sorted(kinds.items()):
        print(f"{group}: {who}, {found.total()} of {total[group, who]} changes")
        for kind, number in found.most_common():
            votes = sided[group, who, kind]
            second = f", in {sum(votes) / len(votes):.0%} of these the second analyst as we" if votes else ""
            print(f"  {number / total[group, who]:.3f} {kind}{second}")


if __name__ == "__main__":
    main()
