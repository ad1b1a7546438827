"""No bar is drawn narrower than it can be read."""

from __future__ import annotations

import re
from itertools import pairwise

from sitegen.engraving.engraver import draw
from sitegen.engraving.layouts import LAYOUTS
from sitegen.engraving.nouns import Sheet
from sitegen.engraving.squeezing import HEAD
from sitegen.notation import write_stage
from tests.notation import score_of
from tests.writing.reading_back import stage_of

RUN = " ".join(["C5t D5 E5 F5 G5 F5 E5 D5"] * 4)
CALM = "C5q D5 E5 D5"
LARGE = LAYOUTS[0]


def drawn(right: str) -> tuple[Sheet, ...]:
    score = score_of(right=right, left=" | ".join(["C3w"] * (right.count("|") + 1)))
    stage = stage_of(score)
    return draw(write_stage(score, stage), "musicxml", [LARGE.name], frozenset(n.id for n in stage.notes))[LARGE.name]


def gaps(sheet: Sheet) -> list[int]:
    """How far the noteheads of the upper staff stand apart, bar by bar, in tenths of a unit."""
    found = []
    for bar in re.split(r"<g data-bar=", sheet.svg)[1:]:
        upper = re.split(r'<use href="#5" ', bar)[1]
        across = [int(x) for x in re.findall(r'<use id="[^"]*" href="#0A[234]" x="(\d+)"', upper)]
        found += [after - before for before, after in pairwise(across)]
    return found


def test_a_bar_that_is_wider_than_the_page_is_drawn_for_a_wider_one() -> None:
    (sheet,) = drawn(RUN)
    assert min(gaps(sheet)) > HEAD
    assert sheet.width > LARGE.width


def test_few_such_bars_are_smaller_alone_and_many_with_all_others() -> None:
    alone = drawn(" | ".join([CALM] * 6 + [RUN] + [CALM] * 6))
    assert [sheet.width == LARGE.width for sheet in alone] == [True, False, True]
    assert [(s.systems[0].first_bar, s.systems[-1].last_bar) for s in alone][1] == (6, 6)
    assert [s.systems[-1].last_bar + 1 for s in alone[:-1]] == [s.systems[0].first_bar for s in alone[1:]]
    (all_of_them,) = drawn(" | ".join([RUN] * 6 + [CALM]))
    assert all_of_them.width > LARGE.width
    assert min(gaps(all_of_them)) > HEAD


def test_seconds_of_a_chord_need_no_wider_page() -> None:
    (sheet,) = drawn("C5+D5w")
    assert sheet.width == LARGE.width
