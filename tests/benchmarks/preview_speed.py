"""How soon a preview shows what was saved: processor seconds from the change of ``piece.md`` to the page that has it.

    python -m tests.benchmarks.preview_speed SCORE

A piece is begun from SCORE in a temporary folder and previewed; then a word of its commentary, the title of a stage,
and a note of a stage are changed. Prints the seconds for each, and for the first time that all of it was made.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path

from sitegen.building.store import Store
from sitegen.previewing import PreviewFolder
from sitegen.starting import start_piece


def main() -> None:
    """Print a line for each change."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("score", type=Path)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as made:
        root = Path(made)
        start_piece(options.score, root / "content", "CC0-1.0", "a benchmark", "piece")
        file = root / "content" / "piece" / "piece.md"
        shown = PreviewFolder(root / "content", root / "shown", Store(root / "cache"))
        draft = file.read_text(encoding="utf-8")
        print(f"{'first':24}{_seconds(shown):6.2f}")
        for name, text in (
            ("a word", draft.replace("## The hands", "## Hands")),
            ("a title", _with(draft, "{stage: outer voices, title: Two lines}")),
            ("a note", _with(draft, "{at: '2, beat 1, RH, top note', stage: outer voices, do: drop}")),
        ):
            file.write_text(text, encoding="utf-8")
            print(f"{name:24}{_seconds(shown):6.2f}")
        for finding in shown.findings:
            if finding.severity == "error":
                print(finding)


def _with(draft: str, wish: str) -> str:
    return draft.replace("practise:\n", f"adjustments:\n  - {wish}\npractise:\n", 1)


def _seconds(shown: PreviewFolder) -> float:
    """Processor seconds until the pages of the piece are there."""
    start = time.process_time()
    seen: list[float] = []
    shown.refresh(lambda slug: seen.append(time.process_time()))
    return (seen or [time.process_time()])[0] - start


if __name__ == "__main__":
    main()
