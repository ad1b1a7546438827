"""How well the phrases of the analysis begin where people say that phrases begin.

    python -m tests.benchmarks.phrase_starts [--places]

A start counts for the bar in which it lies; one in the second half of a bar is an upbeat and counts for the next. The
start of the piece is not counted. Prints precision, recall and F1 of three measures:

demo   the starts that the commentary of the three demo pieces gives (``DEMO``); every other start is wrong
slurs  real scores of ../shared (scores, and annotated pieces): the first bar of each slur of 2.5 to 12.5 bars in the
       right hand is a start. Wrong is a start in a later bar of a slur that lasts over a bar line, unless another slur
       begins there; other starts are not judged. The analysis does not see the slurs; a second line is what it makes
       of them when it does
trees  the tunes of ../shared/melody: their trees, divided from the top while a part is longer than six bars and
       neither of its halves shorter than a bar and three quarters
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from xml.etree import ElementTree

from sitegen.analysis.analysing import analyse
from sitegen.analysis.form.phrases import find_phrases
from sitegen.analysis.nouns import Analysis
from sitegen.errors import SitegenError
from sitegen.score import Note, Score, read_score
from tests.benchmarks.shared import SHARED

CONTENT = Path(__file__).resolve().parents[2] / "content"
DEMO = {
    "prelude-in-d-minor": "5 9 14 17 20",
    "sonatina-in-g": "5 9 13 17 21",
    "waltz-in-e-minor": "5 11 15 19 23 27",
}
SHORTEST, LONGEST = 2.5, 12.5  # bars of a slur that is a phrase
LONGEST_PART, SHORTEST_HALF = 6, 1.75  # bars, of trees
SHORTEST_METRE = Fraction(3, 2)  # quarters: tunes with shorter bars have a metre that is none


@dataclass(frozen=True, slots=True)
class Truth:
    """Bars (0-based) in which phrases begin, and in which none does: None for all others."""

    starts: frozenset[int]
    none: frozenset[int] | None = None


@dataclass
class Count:
    """Starts found, missed and wrong."""

    found: int = 0
    missed: int = 0
    wrong: int = 0

    def add(self, starts: set[int], truth: Truth) -> None:
        self.found += len(starts & truth.starts)
        self.missed += len(truth.starts - starts)
        self.wrong += len((starts - truth.starts) & (starts if truth.none is None else truth.none))

    @property
    def f1(self) -> float:
        return 2 * self.found / max(1, 2 * self.found + self.missed + self.wrong)

    def __str__(self) -> str:
        precision = self.found / max(1, self.found + self.wrong)
        recall = self.found / max(1, self.found + self.missed)
        return f"precision {precision:.3f}  recall {recall:.3f}  F1 {self.f1:.3f}  ({self.found + self.missed} starts)"


def bar_of_start(score: Score, tick: int) -> int:
    """The bar for which a phrase counts that begins at ``tick``."""
    bar = score.bar_at(tick)
    return bar.index + (2 * (bar.lead + tick - bar.onset) >= score.ticks(bar.metre.quarters))


def starts_of(score: Score, analysis: Analysis) -> set[int]:
    """The bars in which the phrases of the analysis begin, but for the first."""
    return {bar_of_start(score, phrase.onset) for phrase in analysis.phrases[1:]}


def demo_truth(name: str, score: Score) -> Truth:
    """What the commentary of a demo piece says."""
    return Truth(frozenset(bar.index for bar in score.bars if bar.number in DEMO[name].split()))


def slur_truth(score: Score) -> Truth:
    """What the slurs of the right hand say."""
    slurs = list(_slurs(score))
    begins = {bar_of_start(score, first.onset) for first, _ in slurs}
    long = {
        bar_of_start(score, first.onset)
        for first, last in slurs
        if SHORTEST <= _bars(score, last.end) - _bars(score, first.onset) <= LONGEST
    }
    inside = {
        bar
        for first, last in slurs
        if 1 <= _bars(score, last.onset) - _bars(score, first.onset) <= LONGEST
        for bar in range(bar_of_start(score, first.onset) + 1, bar_of_start(score, last.onset) + 1)
    }
    return Truth(frozenset(long - {0}), frozenset(inside - begins))


def tree_truth(score: Score, root: ElementTree.Element) -> Truth:
    """What a time-span tree says."""
    ticks = (score.ticks(Fraction(left)) for left in _parts(root, float(score.bars[0].metre.quarters)))
    return Truth(frozenset(bar_of_start(score, tick) for tick in list(ticks)[1:]))


def without_slurs(score: Score) -> Score:
    """The score with no slur on any note."""
    return replace(score, notes=tuple(replace(note, slur_start=False, slur_end=False) for note in score.notes))


def _slurs(score: Score) -> Iterator[tuple[Note, Note]]:
    staff = min((staff.number for staff in score.staves if staff.hand == "right"), default=1)
    begun: dict[int, list[Note]] = defaultdict(list)
    for note in score.sounding():
        if note.staff == staff:
            if note.slur_end and begun[note.voice]:
                yield begun[note.voice].pop(), note
            if note.slur_start:
                begun[note.voice].append(note)


def _bars(score: Score, tick: int) -> float:
    bar = score.bar_at(tick)
    return bar.index + (bar.lead + tick - bar.onset) / score.ticks(bar.metre.quarters)


def _parts(span: ElementTree.Element, bar: float) -> list[float]:
    """Where the parts begin, in quarters."""
    left, right = float(span.get("leftend", 0)), float(span.get("rightend", 0))
    halves = [half for name in ("primary", "secondary") if (half := span.find(f"{name}/ts")) is not None]
    short = any(float(half.get("timespan", 0)) < SHORTEST_HALF * bar for half in halves)
    if right - left <= LONGEST_PART * bar or len(halves) < 2 or short:
        return [left]
    return sorted(part for half in halves for part in _parts(half, bar))


def _real_scores() -> Iterator[tuple[str, Score]]:
    pieces = SHARED / "harmony/pieces"
    for file in [*sorted((SHARED / "scores").glob("*")), *sorted(pieces.glob("[kw]*/score.mxl"))]:
        try:
            yield (file.stem if file.stem != "score" else file.parent.name), read_score(file)
        except SitegenError as error:
            print(f"{file}: {error}")


def main() -> None:
    """Print the measures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--places", action="store_true", help="the starts of every demo piece and score, too")
    options = parser.parse_args()
    counts: dict[str, Count] = defaultdict(Count)

    def count(measure: str, name: str, score: Score, starts: set[int], truth: Truth) -> None:
        counts[measure].add(starts, truth)
        if options.places:
            numbers = " ".join((*[bar.number for bar in score.bars], "end")[bar] for bar in sorted(starts))
            print(f"{measure}  {name}: {numbers}")

    for name in DEMO:
        score = read_score(CONTENT / name / "score.musicxml")
        count("demo", name, score, starts_of(score, analyse(score)), demo_truth(name, score))
    for name, score in _real_scores() if SHARED.exists() else ():
        truth = slur_truth(score)
        if truth.starts or truth.none:
            analysis = analyse(score)
            melody = {note for line, chain in analysis.lines if line == "melody" for note in chain}
            blind = find_phrases(without_slurs(score), analysis.harmonies, analysis.notes, melody)
            count("slurs", name, score, starts_of(score, replace(analysis, phrases=blind)), truth)
            counts["slurs, seen"].add(starts_of(score, analysis), truth)
    for folder in sorted((SHARED / "melody/tunes").glob("*")):
        score = read_score(folder / "melody.musicxml")
        root = ElementTree.parse(folder / "time-span-tree.xml").getroot().find("ts")
        if root is not None and score.bars[0].metre.quarters >= SHORTEST_METRE:
            count("trees", folder.name, score, starts_of(score, analyse(score)), tree_truth(score, root))
    for measure, counted in counts.items():
        print(f"{measure:12} {counted}")
    if not SHARED.exists():
        print(f"skipped: no scores in {SHARED}")


if __name__ == "__main__":
    main()
