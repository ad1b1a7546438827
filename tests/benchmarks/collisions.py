"""Noteheads that stand in each other's way, by layout: notes of one staff that begin one after the other and overlap.

    python -m tests.benchmarks.collisions [SCORE...] [--stages]

For each score and layout: of how many systems so many have a notehead whose left edge lies before the right edge of one
that begins earlier, in the same staff and at the same height or the next; and how many such heads there are. Without
scores those of the shared folder; ``--stages`` takes all stages, else only the score as written.
"""

from __future__ import annotations

import argparse
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path

from sitegen.analysis.analysing import analyse
from sitegen.engraving.engraver import draw
from sitegen.engraving.squeezing import HEAD, SPACE, USUAL
from sitegen.layouts import LAYOUTS
from sitegen.notation import write_stage
from sitegen.reduction import build_ladder
from sitegen.score import open_source, read_score
from tests.benchmarks.shared import SHARED

_PART = re.compile(
    r'<use href="#5" transform="matrix|'
    r'<use id="(?P<name>[^"]+)" href="#[0-9A-F]+(?:-(?P<size>[\d.]+))?" x="(?P<x>-?\d+)" y="(?P<y>-?\d+)"'
)


def main() -> None:
    """Print a row a score."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("scores", nargs="*", type=Path)
    parser.add_argument("--stages", action="store_true")
    options = parser.parse_args()
    names = [layout.name for layout in LAYOUTS]
    print(f"{'score':40}" + "".join(f"{name:>22}" for name in names))
    whole: Counter[str] = Counter()
    for path in options.scores or sorted((SHARED / "scores").iterdir()):
        found = collisions(path, options.stages)
        whole.update(found)
        print(f"{path.stem[:38]:40}" + "".join(_cell(found, name) for name in names), flush=True)
    print(f"{'all':40}" + "".join(_cell(whole, name) for name in names))


def _cell(found: Mapping[str, int], name: str) -> str:
    return f"{found[f'{name} heads']:>8} in {found[f'{name} bad']:>4}/{found[f'{name} systems']:>4}"


def collisions(path: Path, all_stages: bool) -> Counter[str]:
    """Heads that collide (``large heads``), systems with one (``large bad``) and systems (``large systems``)."""
    source = open_source(path)
    score = read_score(source)
    found: Counter[str] = Counter()
    for stage in build_ladder(score, analyse(score)):
        if not (all_stages or stage.as_written):
            continue
        text, notation = (source.text, source.kind) if stage.as_written else (write_stage(score, stage), "musicxml")
        onsets = {note.id: note.onset for note in stage.notes if not note.grace}
        if stage.as_written:
            onsets = {head.id: head.onset for note in score.notes if not note.grace for head in note.noteheads}
        sheets = draw(text, notation, [layout.name for layout in LAYOUTS], frozenset(onsets))  # type: ignore[arg-type]
        for name, drawn in sheets.items():
            for sheet in drawn:
                for system in re.split(r'(?=<g transform="translate\()', sheet.svg)[1:]:
                    heads = sum(map(len, overlaps(system, onsets)))
                    found[f"{name} systems"] += 1
                    found[f"{name} bad"] += heads > 0
                    found[f"{name} heads"] += heads
    return found


def overlaps(system: str, onsets: Mapping[str, int]) -> Iterator[list[str]]:
    """The notes of each staff of each bar whose heads overlap that of a note that begins earlier."""
    staff: list[tuple[int, int, float, int, str]] = []
    for part in [*_PART.finditer(system), None]:
        if part is None or part["name"] is None:
            yield [
                name
                for x, y, wide, onset, name in staff
                if any(
                    -wide < x - x2 < wide2 and abs(y - y2) < SPACE and onset2 < onset
                    for x2, y2, wide2, onset2, _ in staff
                )
            ]
            staff = []
        elif part["name"] in onsets:
            wide = HEAD * float(part["size"] or USUAL) / USUAL
            staff.append((int(part["x"]), int(part["y"]), wide, onsets[part["name"]], part["name"]))


if __name__ == "__main__":
    main()
