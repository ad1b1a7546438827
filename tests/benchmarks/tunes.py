"""Tunes with hand-made time-span trees (../shared/melody), as the measuring and the fitting script need them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from xml.etree import ElementTree

from sitegen.analysis import analyse
from sitegen.analysis.depth.evidence import NoteEvidence, gather_evidence
from sitegen.score import Score, read_score
from tests.benchmarks.shared import SHARED, measures_in

MELODY = SHARED / "melody"


@dataclass
class Tune:
    """A tune with what its tree says: ``worth`` by note index; ``as_counted`` pairs score.py's worth with an index."""

    name: str
    score: Score
    evidence: list[NoteEvidence]
    worth: dict[int, float]
    as_counted: list[tuple[float, int]]
    tree: ElementTree.Element
    index: dict[tuple[int, int], int]


def load_tunes() -> list[Tune]:
    """All tunes with their trees. Raises ``SystemExit`` where the folder is absent."""
    importance = measures_in(MELODY).importance
    return [_tune(folder, importance(folder / "time-span-tree.xml")) for folder in sorted((MELODY / "tunes").iterdir())]


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
