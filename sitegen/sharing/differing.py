"""In what two versions of a piece differ: the words as text, the scores as engraved bars."""

from __future__ import annotations

import base64
import difflib
import html
import json
from collections import defaultdict
from collections.abc import Hashable, Iterator, Sequence
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
_STANDS = "Your score stands as it is."
_REPLACED = "You had not changed the score, so the newer version's has taken its place."
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"


@dataclass(frozen=True, slots=True)
class DifferingBars:
    """Bars that differ: as indexes, the first and the one behind the last of either version."""

    mine: tuple[int, int]
    theirs: tuple[int, int]


def words_that_differ(mine: str, theirs: str, name: str) -> str:
    """In what the text called ``name`` differs in the other version, for whoever wrote the one: each place by its line,
    with what stands there and what the other has; empty where nothing differs."""
    hers, others = mine.splitlines(), theirs.splitlines()
    told = [
        line
        for kind, first, last, first_other, last_other in _differing(hers, others)
        for line in _place(kind, first, hers[first:last], others[first_other:last_other])
    ]
    return "\n".join([f"{name}, where it differs (yours stands):", *told, ""]) if told else ""


def _place(kind: str, line: int, mine: Sequence[str], theirs: Sequence[str]) -> Iterator[str]:
    if kind == "insert":
        yield f"  behind line {line}, only theirs:" if line else "  before line 1, only theirs:"
    else:
        yield f"  line {line + 1}, {'only yours' if kind == 'delete' else 'yours'}:"
        yield from (f"    {words}" for words in mine)
        if kind == "replace":
            yield "  theirs:"
    yield from (f"    {words}" for words in theirs)


def _differing(mine: Sequence[Hashable], theirs: Sequence[Hashable]) -> Iterator[tuple[str, int, int, int, int]]:
    """Where two rows differ; what is put in or taken out moves nothing behind it."""
    matched = difflib.SequenceMatcher(None, mine, theirs, autojunk=False)
    return (found for found in matched.get_opcodes() if found[0] != "equal")


def bars_that_differ(mine: Score, theirs: Score) -> tuple[DifferingBars, ...]:
    """The bars of two versions of a score that do not hold the same: notes, values, signs, metre or key. What was put
    in or taken out moves no bar behind it."""
    return tuple(
        DifferingBars((first, last), (first_other, last_other))
        for _, first, last, first_other, last_other in _differing(_bars(mine), _bars(theirs))
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


def sheet_of_differences(mine: Path, theirs: Path, title: str, stands: bool, limits: Limits) -> bytes:
    """A page with the bars in which two versions of a score differ, hers beside theirs, drawn apart and within
    ``limits``; empty where no bar differs. It says whether hers ``stands`` in the piece. Raises ``ScoreError`` where
    either cannot be read."""
    asked = json.dumps([str(mine), str(theirs)]).encode()
    try:
        (drawn,) = call_apart(f"{__name__}:draw_apart", asked, limits)
    except Failure as failure:
        raise ScoreError(f"the program that draws it {failure}", failure.remedy, theirs) from failure
    rows = json.loads(drawn)
    return _page(title, rows, _STANDS if stands else _REPLACED).encode() if rows else b""


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


def _page(title: str, rows: Sequence[dict[str, Any]], lead: str) -> str:
    name = html.escape(title)
    body = "\n".join(f"<tr>{_cell(row['mine'])}{_cell(row['theirs'])}</tr>" for row in rows)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        f"<title>{name}: the bars that differ</title>\n"
        "<style>body{font-family:serif;margin:2rem}table{border-collapse:collapse;width:100%}"
        "th,td{width:50%;text-align:left;vertical-align:top;padding:.5rem;border-top:1px solid #999}"
        "img{max-width:100%;height:auto}</style></head>\n"
        f"<body><h1>{name}: the bars that differ</h1>\n<p>{lead} Adjustments and links that name bars are still "
        "yours: sitegen check says which of them no longer fit.</p>\n"
        "<table><thead><tr><th>As you had it</th><th>In the newer version</th></tr></thead>\n"
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
