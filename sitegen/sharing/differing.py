"""In what two versions of a piece differ: the words as text, the scores as engraved bars."""

from __future__ import annotations

import base64
import difflib
import html
import json
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path
from typing import Any

from sitegen.apart import Failure, Limits, call_apart
from sitegen.errors import ScoreError
from sitegen.score import Score

BARS_A_SYSTEM = 4
MOST_SYSTEMS = 60  # of each version on a sheet
_PIXELS = 0.4  # for a unit of a drawing: staves of 29
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"


@dataclass(frozen=True, slots=True)
class Stretch:
    """Bars that differ: as indexes, the first and the one behind the last of either version."""

    mine: tuple[int, int]
    theirs: tuple[int, int]


def words_that_differ(mine: str, theirs: str, name: str) -> str:
    """What the text called ``name`` has otherwise in the other version, as a unified diff; empty where nothing."""
    hers, other = mine.splitlines(keepends=True), theirs.splitlines(keepends=True)
    told = difflib.unified_diff(hers, other, f"{name} (yours)", f"{name} (theirs)", n=2)
    return "".join(line if line.endswith("\n") else f"{line}\n" for line in told)


def bars_that_differ(mine: Score, theirs: Score) -> tuple[Stretch, ...]:
    """The bars of two versions of a score that do not hold the same: notes, values, signs, metre or key. What was put
    in or taken out moves no bar behind it."""
    matched = difflib.SequenceMatcher(None, _bars(mine), _bars(theirs), autojunk=False)
    return tuple(
        Stretch((first, last), (first_other, last_other))
        for kind, first, last, first_other, last_other in matched.get_opcodes()
        if kind != "equal"
    )


def _bars(score: Score) -> list[tuple[object, ...]]:
    """What each bar holds, whatever its notes are called."""
    held: dict[int, list[tuple[object, ...]]] = defaultdict(list)
    for n in score.notes:
        held[n.bar].append(
            (score.quarters(n.onset - score.bars[n.bar].onset), score.quarters(n.duration), n.pitch.name, n.staff,
             n.voice, n.grace, n.ornaments, n.articulations, n.fingerings, n.fermata, n.slur_start, n.slur_end)
        )  # fmt: skip
    return [
        (bar.metre.name, bar.fifths, score.quarters(bar.length), bar.repeat_start, bar.repeat_end, bar.endings,
         tuple(sorted(held[bar.index], key=repr)))
        for bar in score.bars
    ]  # fmt: skip


def sheet_of_differences(mine: Path, theirs: Path, title: str, limits: Limits) -> bytes:
    """A page with the bars in which two versions of a score differ, hers beside theirs, drawn apart and within
    ``limits``; empty where no bar differs. Raises ``ScoreError`` where either cannot be read."""
    asked = json.dumps([str(mine), str(theirs)]).encode()
    try:
        (drawn,) = call_apart(f"{__name__}:draw_apart", asked, limits)
    except Failure as failure:
        raise ScoreError(f"the program that draws it {failure}", failure.remedy, theirs) from failure
    rows = json.loads(drawn)
    return _page(title, rows).encode() if rows else b""


def draw_apart(data: bytes) -> Iterator[bytes]:
    """In a child: the bars that differ of two scores, each row with their names and drawings, as JSON."""
    from sitegen.engraving.engraver import engrave_bars
    from sitegen.places.naming import name_bars
    from sitegen.score import open_source, read_score

    sources = [open_source(Path(file)) for file in json.loads(data)]
    scores = [read_score(source) for source in sources]
    names = [name_bars(score.bars, score.ticks_per_quarter) for score in scores]
    rows: list[dict[str, Any]] = []
    for stretch in bars_that_differ(*scores):
        sides = [_systems(*stretch.mine), _systems(*stretch.theirs)]
        for pair in zip_longest(*sides):
            row = []
            for which, bars in enumerate(pair):
                if bars is None:
                    row.append({"bars": "", "svg": "", "width": 0.0})
                    continue
                first, last = (names[which][index].whole for index in bars)
                sheet = engrave_bars(sources[which].text, sources[which].kind, *bars)
                named = first if first == last else f"{first}-{last}"
                row.append({"bars": named, "svg": sheet.svg, "width": sheet.width})
            rows.append({"mine": row[0], "theirs": row[1]})
            if len(rows) == MOST_SYSTEMS:
                break
        if len(rows) == MOST_SYSTEMS:
            break
    yield json.dumps(rows).encode()


def _systems(first: int, end: int) -> list[tuple[int, int]]:
    return [(bar, min(bar + BARS_A_SYSTEM, end) - 1) for bar in range(first, end, BARS_A_SYSTEM)]


def _page(title: str, rows: Sequence[dict[str, Any]]) -> str:
    name = html.escape(title)
    body = "\n".join(f"<tr>{_cell(row['mine'])}{_cell(row['theirs'])}</tr>" for row in rows)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        f"<title>{name}: the bars that differ</title>\n"
        "<style>body{font-family:serif;margin:2rem}table{border-collapse:collapse;width:100%}"
        "th,td{width:50%;text-align:left;vertical-align:top;padding:.5rem;border-top:1px solid #999}"
        "img{max-width:100%;height:auto}</style></head>\n"
        f"<body><h1>{name}</h1>\n<table><thead><tr><th>Yours</th><th>Theirs</th></tr></thead>\n"
        f"<tbody>\n{body}\n</tbody></table></body></html>\n"
    )


def _cell(side: dict[str, Any]) -> str:
    """A cell with a drawing as a picture: what is in it neither runs nor mixes with others."""
    if not side["svg"]:
        return "<td>These bars are not there.</td>"
    named = html.escape(side["bars"])
    said = f"Bars {named}" if "-" in named else f"Bar {named}"
    data, width = base64.b64encode(side["svg"].encode()).decode(), round(side["width"] * _PIXELS)
    return f'<td><p>{said}</p><img src="data:image/svg+xml;base64,{data}" alt="{said}" width="{width}"></td>'
