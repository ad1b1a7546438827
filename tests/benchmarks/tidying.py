"""Prints what tidying costs beside what verovio takes to draw: processor seconds and characters, by layout, of a score
as it is written and of its fullest stage.

python -m tests.benchmarks.tidying SCORE ...
"""

from __future__ import annotations

import sys
from pathlib import Path
from time import process_time

from sitegen.analysis import analyse
from sitegen.engraving import LAYOUTS, engraver
from sitegen.engraving.rendering import render
from sitegen.engraving.sheets import stack
from sitegen.engraving.svg import tidy
from sitegen.notation import write_stage
from sitegen.reduction import Stage, build_ladder
from sitegen.score import Score, Source, open_source, read_score


def main(paths: list[str]) -> None:
    print("score, stage, layout: systems, sheets | seconds drawn, tidied, share | thousand characters drawn, tidied")
    for path in paths:
        source = open_source(Path(path))
        score = read_score(source)
        for stage in build_ladder(score, analyse(score))[-2:]:
            measure(source, score, stage)


def measure(source: Source, score: Score, stage: Stage) -> None:
    """Print a line for each layout of a stage."""
    text, notation = (source.text, source.kind) if stage.as_written else (write_stage(score, stage), "musicxml")
    toolkit = engraver._load(text, notation, LAYOUTS[0])
    bars = engraver._bars(toolkit).indexes
    keep = frozenset(note.id for note in stage.notes)
    for layout in LAYOUTS:
        toolkit.setOptions({"pageWidth": layout.width})
        toolkit.redoLayout()
        begun = process_time()
        pages = [render(toolkit, page) for page in range(1, toolkit.getPageCount() + 1)]
        drawn = process_time()
        sheets = stack([tidy(page, bars, keep) for page in pages], layout.first)
        tidied = process_time()
        print(
            f"{Path(score.file).name}, {stage.slug}, {layout.name}: {len(pages)}, {len(sheets)} | {drawn - begun:.2f}, "
            f"{tidied - drawn:.2f}, {(tidied - drawn) / (drawn - begun):.2f} | {sum(map(len, pages)) / 1000:.0f}, "
            f"{sum(len(sheet.svg) for sheet in sheets) / 1000:.0f}"
        )


if __name__ == "__main__":
    main(sys.argv[1:])
