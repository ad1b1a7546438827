"""How often the tool is right: the figures of the demo's page about it, measured and written in one go.

    python -m tests.benchmarks.accuracy [--only harmony tune reduction ladder phrases]

Runs the measuring commands of ``MEASURES``, which need ../shared, prints what they print, keeps their figures in
``accuracy.json`` beside this module, and writes the tables of the page anew. Nothing on that page is typed: a test
compares its tables with the figures. ``--only`` measures some again and leaves the others as they were. All of it takes
half an hour of a processor.
"""

from __future__ import annotations

import argparse
import json
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.shared import SHARED

FIGURES = Path(__file__).with_name("accuracy.json")
PAGE = Path(__file__).resolve().parents[2] / "content" / "pages" / "how-often-it-is-right.md"
_TABLE = re.compile(r"(<!-- figures: (\w+) -->\n)(.*?)(<!-- end -->)", re.S)
Figures = Mapping[str, Sequence[float]]


@dataclass(frozen=True, slots=True)
class Measure:
    """A measuring command: what it is given (``{folder}`` is an empty folder), and its figures, each by the words that
    stand in the page with an expression for each column that finds it in what is printed."""

    commands: tuple[tuple[str, ...], ...]
    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def _harmony(field: str) -> tuple[str, str]:
    return (
        rf"^sonata movements, not fitted to.* {field} ([\d.]+)",
        rf"^sonata movements, second analyst.* {field} ([\d.]+)",
    )


def _ladder(pattern: str) -> tuple[str, ...]:
    return tuple(rf"^{pattern} .*{field} ([\d.]+)" for field in ("bass", "blocks", "tune", "leaning"))


MEASURES: Mapping[str, Measure] = {
    "harmony": Measure(
        (("-m", "tests.benchmarks.harmony_agreement", "--only", "k"),),
        ("of the time (of the notes, of the changes)", "the tool", "a second analyst"),
        (
            ("the tones of the chord overlap", _harmony("tones")),
            ("the chord has exactly the same tones", _harmony("set")),
            ("the same bass", _harmony("bass")),
            ("the same root", _harmony("root")),
            ("the harmony changes at the same place", _harmony("bounds")),
            ("the same notes are foreign to the chord", _harmony("decor")),
        ),
    ),
    "tune": Measure(
        ((str(SHARED / "tune" / "score.py"),),),
        ("of the notes of the melody", "the tool", "the highest note, always"),
        (
            ("of the notes that are called melody, marked by the pianist", (
                r"^all .*tool P ([\d.]+)", r"^all .*skyline P ([\d.]+)")),
            ("of the notes that the pianist marked, called melody", (
                r"^all .*tool P .*? R ([\d.]+)", r"^all .*skyline P .*? R ([\d.]+)")),
        ),
    ),
    "reduction": Measure(
        (("-m", "tests.benchmarks.melody_agreement"),),
        ("of the notes that are kept", "also kept by the tree"),
        (
            ("where half of the notes are kept", (r"^cross-validated +as the trees count .*half ([\d.]+)",)),
            ("where a quarter is kept", (r"^cross-validated +as the trees count .*quarter ([\d.]+)",)),
            ("where an eighth is kept", (r"^cross-validated +as the trees count .*eighth ([\d.]+)",)),
        ),
    ),
    "ladder": Measure(
        ((str(SHARED / "ladder" / "figures.py"), "{folder}"), (str(SHARED / "ladder" / "score.py"), "{folder}")),
        ("dressed as", "bass", "whole chords", "tune", "leaning notes"),
        (
            ("all patterns together", _ladder("all")),
        ),
    ),
    "phrases": Measure(
        (("-m", "tests.benchmarks.form"),),
        ("of the themes and variations", "the tool"),
        (
            ("of the phrases that it begins, begun by the reader", (r"^starts +precision ([\d.]+)",)),
            ("of the phrases that the reader begins, begun by it", (r"^starts .*recall ([\d.]+)",)),
            ("cadences of the same kind, where both end a phrase", (r"same kind ([\d.]+)",)),
            ("of the time in the analyst's key, in sonata movements", (r"^keys sonatas .*same key ([\d.]+)",)),
        ),
    ),
}  # fmt: skip


def measured(measure: Measure) -> dict[str, list[float]]:
    """The figures of a measure, by the words of its rows. Raises ``SystemExit`` where a command does not print them."""
    with tempfile.TemporaryDirectory() as folder:
        printed = ""
        for command in measure.commands:
            given = [part.replace("{folder}", folder) for part in command]
            ran = subprocess.run([sys.executable, *given], capture_output=True, text=True, check=False)
            print(ran.stdout, flush=True)
            printed += ran.stdout
            if ran.returncode or "FAILED" in ran.stdout:
                raise SystemExit(f"{' '.join(given)} failed, with {ran.returncode}: {ran.stderr}")
    return {words: [_found(expression, printed) for expression in row] for words, row in measure.rows}


def _found(expression: str, printed: str) -> float:
    found = re.search(expression, printed, re.M)
    if found is None:
        raise SystemExit(f"no figure is found by '{expression}'")
    return float(found[1])


def with_tables(text: str, figures: Mapping[str, Figures]) -> str:
    """The text of the page with its tables as the figures have them."""
    return _TABLE.sub(lambda found: f"{found[1]}\n{''.join(_table(found[2], figures))}\n{found[4]}", text)


def _table(name: str, figures: Mapping[str, Figures]) -> Iterator[str]:
    heads = MEASURES[name].heads
    if name not in figures:
        yield "*Not measured yet.*\n"
        return
    yield f"| {' | '.join(heads)} |\n|{' --- |' * len(heads)}\n"
    for words, _ in MEASURES[name].rows:
        yield f"| {words} | {' | '.join(f'{value:.0%}' for value in figures[name][words])} |\n"


def main() -> None:
    """Measure, keep the figures, and write the tables."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", nargs="*", choices=list(MEASURES), default=list(MEASURES))
    options = parser.parse_args()
    if not SHARED.exists():
        raise SystemExit(f"skipped: no annotated music in {SHARED}")
    figures = json.loads(FIGURES.read_text(encoding="utf-8")) if FIGURES.exists() else {}
    for name in options.only:
        figures[name] = measured(MEASURES[name])
        FIGURES.write_text(json.dumps(figures, indent=1) + "\n", encoding="utf-8")
    if PAGE.exists():
        PAGE.write_text(with_tables(PAGE.read_text(encoding="utf-8"), figures), encoding="utf-8")


if __name__ == "__main__":
    main()
