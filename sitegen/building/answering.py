"""What ``analyse`` says of a score or a piece, worked out apart: this process only hands on the words, and loads little
for that."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sitegen.apart import USUAL, Failure, Limits, call_apart, limits_here
from sitegen.checking.nouns import Finding
from sitegen.errors import ScoreError

if TYPE_CHECKING:
    from sitegen.building.reading import UnderstoodMusic


@dataclass(frozen=True, slots=True)
class Answer:
    """What was found, and the words; none where the music could not be understood."""

    findings: tuple[Finding, ...]
    words: str | None


def ask(place: Path, form: str, bars: str, store: Path, limits: Limits = USUAL) -> Answer:
    """The answer about a score, or about a piece, as ``text`` or ``json``, or only about ``bars`` as printed. What is
    made of a piece is kept in the folder ``store``. Raises what reading it raises; what breaks the program down, or
    takes more than the limits, is a ``ScoreError`` too."""
    question = json.dumps([str(place), form, bars, str(store)]).encode()
    try:
        (data,) = call_apart(f"{__name__}:answer", question, limits)
    except Failure as failure:
        if failure.ended:
            raise ScoreError(f"the program that reads it {failure}", failure.remedy, place) from failure
        remedy = "Export it again, without what is odd in it."
        raise ScoreError(f"could not be understood ({failure})", remedy, place) from failure
    found, words = json.loads(data)
    return Answer(tuple(Finding(**finding) for finding in found), words)


def answer(data: bytes) -> Iterator[bytes]:
    """In a child: the answer to a question."""
    from sitegen.building.reading import read_for_analysis
    from sitegen.building.store import Store

    place, form, bars, store = json.loads(data)
    read = read_for_analysis(Path(place), Store(Path(store)), limits_here() or USUAL)
    words = None if read.understood is None else _words(read.understood, form, bars)
    yield json.dumps([[finding.as_data() for finding in read.findings], words]).encode()


def _words(music: UnderstoodMusic, form: str, bars: str) -> str:
    """What is said of the music, with the end of its last line."""
    if form == "json":
        from sitegen.building.contract import analysis_object

        return json.dumps(analysis_object(music.score, music.analysis, music.stages), ensure_ascii=False) + "\n"
    if bars:
        from sitegen.analysis import describe_bars
        from sitegen.places.bars import find_bars
        from sitegen.places.naming import name_bars
        from sitegen.places.parsing import parse_bars

        names = name_bars(music.score.bars, music.score.ticks_per_quarter)
        first, last = find_bars(names, parse_bars(bars))
        return describe_bars(music.score, music.analysis, first, last)
    from sitegen.analysis import describe
    from sitegen.reduction import describe_ladder

    return f"{describe(music.score, music.analysis)}\n{describe_ladder(music.score, music.stages)}"
