"""The whole ladder of a score as pictures, to be looked at: the first bars of each stage below each other, with its
title, its number of notes, its difficulty and its sentence.

    python -m tests.benchmarks.ladder_pictures SCORE FOLDER [--bars 1-8] [--all]

Writes FOLDER/<score>-1.png, -2.png ...; ``--all`` shows side studies too. Needs Debian's chromium.
"""

from __future__ import annotations

import argparse
import html
import shutil
from pathlib import Path

from playwright.sync_api import sync_playwright

from sitegen.analysis.analysing import analyse
from sitegen.engraving import Sheet, engrave_bars
from sitegen.notation import write_stage
from sitegen.reduction import Stage, build_ladder
from sitegen.score import Score, open_source, read_score

STAGES_A_PICTURE = 4
WIDTH = 1500


def main() -> None:
    """Write the pictures and print their names."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("score", type=Path)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--bars", default="1-8", help="bars counted from 1, whatever their printed numbers")
    parser.add_argument("--all", action="store_true", help="side studies too")
    options = parser.parse_args()
    first, _, last = options.bars.partition("-")
    source = open_source(options.score)
    score = read_score(source)
    stages = [s for s in build_ladder(score, analyse(score)) if options.all or not s.side_study]
    options.folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": WIDTH, "height": 600})
        for number, start in enumerate(range(0, len(stages), STAGES_A_PICTURE), 1):
            shown = stages[start : start + STAGES_A_PICTURE]
            parts = []
            for stage in shown:
                text, notation = write_stage(score, stage), "musicxml"
                if stage.as_written:
                    text, notation = source.text, source.kind
                sheet = engrave_bars(text, notation, int(first) - 1, int(last or first) - 1)  # type: ignore[arg-type]
                parts.append(_part(score, stage, sheet))
            page.set_content(f"<body style='margin:8px;background:white'>{''.join(parts)}</body>")
            picture = options.folder / f"{options.score.stem}-{number}.png"
            page.screenshot(path=str(picture), full_page=True)
            print(picture)
        browser.close()


def _part(score: Score, stage: Stage, sheet: Sheet) -> str:
    height = min(330.0, sheet.height * (WIDTH - 20) / sheet.width)
    mark = ", side study" if stage.side_study else ""
    words = f"<b>{html.escape(stage.title)}</b> ({len(stage.notes)} notes, {stage.difficulty.value:.2f}{mark}) "
    words += f"<i>{html.escape(stage.listen)}</i> <small>{html.escape(', '.join(stage.techniques))}</small>"
    # a frame of its own: drawings name their glyphs alike
    drawing = f"<body style='margin:0'>{sheet.svg.replace('<svg ', f'<svg height={height:.0f} ', 1)}</body>"
    picture = f"<iframe width={WIDTH - 20} height={height:.0f} frameborder=0 srcdoc='{html.escape(drawing)}'></iframe>"
    return f"<div style='font:15px sans-serif'>{words}</div><div style='margin-bottom:6px'>{picture}</div>"


if __name__ == "__main__":
    main()
