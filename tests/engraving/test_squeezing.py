"""No bar is drawn narrower than it can be read."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from sitegen.engraving.engraver import draw
from sitegen.engraving.nouns import Sheet
from sitegen.engraving.squeezing import HEAD, near_heads
from sitegen.layouts import LAYOUTS
from sitegen.notation import write_stage
from tests.benchmarks.collisions import overlaps
from tests.notation import score_of
from tests.writing.reading_back import stage_of

RUN = " ".join(["C5t D5 E5 F5 G5 F5 E5 D5"] * 4)
CALM = "C5q D5 E5 D5"
LARGE = LAYOUTS[0]


def drawn(right: str, words: dict[str, str] | None = None) -> tuple[Sheet, ...]:
    """The large drawing of these notes, with ``words`` at the end of bars by their numbers."""
    score = score_of(right=right, left=" | ".join(["C3w"] * (right.partition(";")[0].count("|") + 1)))
    stage = stage_of(score)
    text = write_stage(score, stage)
    for bar, said in (words or {}).items():
        direction = f"<direction><direction-type><words>{said}</words></direction-type><staff>2</staff></direction>"
        text = re.sub(rf'(<measure number="{bar}".*?)(</measure>)', rf"\1{direction}\2", text, count=1, flags=re.S)
    return draw(text, "musicxml", [LARGE.name], frozenset(n.id for n in stage.notes))[LARGE.name]


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


def test_voices_a_second_apart_need_none_either_also_where_their_bars_would_share_a_line_there() -> None:
    upper, lower = " | ".join(["C5q D5 E5 D5"] * 6), " | ".join(["B4q C5 D5 C5"] * 6)
    (sheet,) = drawn(f"{upper} ; {lower}")
    assert all(system.first_bar == system.last_bar for system in sheet.systems)
    assert sheet.width == LARGE.width


def heads(*placed: tuple[str, str, int, int]) -> str:
    """A bar of one staff with heads: the id of each, its glyph, and how far across and down it stands."""
    uses = [f'<use id="{name}" href="#{glyph}" x="{x}" y="{y}"/>' for name, glyph, x, y in placed]
    return f'<g data-bar="0"><use href="#5" transform="matrix(3000 0 0 1 0 0)"/>{"".join(uses)}</g>'


@pytest.mark.parametrize("notes", [8, 10, 12, 14, 16, 20])
def test_heads_of_a_run_stand_a_head_apart_at_least(notes: int) -> None:
    """Also where they would overlap by a hair only."""
    run = " ".join(["C5s D5 E5 F5 G5 F5 E5 D5"] * 3).split()[:notes]
    (sheet, *_) = drawn(" ".join(run))
    assert min(gaps(sheet)) >= HEAD


def test_bars_that_long_words_hold_together_get_a_line_each() -> None:
    """Else verovio keeps a bar, and all before it on the line, with the next where its words reach into that."""
    run = "C5s D5 E5 F5 G5 F5 E5 D5 C5 D5 E5 F5 G5 F5 E5 D5"
    sheets = drawn(" | ".join([run] * 4), {"2": "ritardando"})
    systems = [system for sheet in sheets for system in sheet.systems]
    assert [(system.first_bar, system.last_bar) for system in systems] == [(n, n) for n in range(4)]
    assert min(gap for sheet in sheets for gap in gaps(sheet)) >= HEAD


def test_words_longer_than_a_line_turn_no_bar_around() -> None:
    run = "C5s D5 E5 F5 G5 F5 E5 D5 C5 D5 E5 F5 G5 F5 E5 D5"
    sheets = drawn(" | ".join([run] * 4), {"2": "with ever more tenderness and longing, but in time"})
    across = [x for sheet in sheets for x in re.findall(r'<use id="[^"]*" href="#0A[234]" x="(-?\d+)"', sheet.svg)]
    assert min(map(int, across)) > 0


def test_words_hold_bars_together_that_have_room() -> None:
    (sheet,) = drawn(" | ".join(["C5h D5"] * 4), {"2": "tenderly, but in time"})
    assert any(system.last_bar > system.first_bar for system in sheet.systems)


def test_heads_overlap_whose_notes_begin_one_after_the_other() -> None:
    second = heads(("a", "0A4", 0, 0), ("b", "0A4", 208, 90))
    assert near_heads(second, {"a": 0.0, "b": 1.0}.get) == (208,)
    assert near_heads(second, {"a": 0.0, "b": 0.0}.get) == ()
    assert near_heads(second, {"a": 0.0, "b": 0.02}.get) == (), "a chord that is spread"
    assert near_heads(second, {}.get) == (), "nothing tells that they are no chord"


def test_small_heads_need_less_room() -> None:
    begins = {"a": 0.0, "b": 1.0}.get
    assert near_heads(heads(("a", "0A4-0.54", 0, 0), ("b", "0A4-0.54", 165, 90)), begins) == ()
    assert near_heads(heads(("a", "0A4-0.54", 0, 0), ("b", "0A4-0.54", 150, 90)), begins) == (150,)


def test_the_count_of_collisions_knows_one_when_it_sees_it() -> None:
    onsets = {"a": 0, "b": 4}

    def counted(*placed: tuple[str, str, int, int]) -> list[str]:
        return [name for staff in overlaps(heads(*placed), onsets) for name in staff]

    assert counted(("a", "0A4", 0, 0), ("b", "0A4", 205, 90)) == ["b"]
    assert counted(("a", "0A4", 205, 90), ("b", "0A4", 0, 0)) == ["b"], "one voice before the other"
    assert counted(("a", "0A4", 0, 0), ("b", "0A4", 205, 180)) == [], "a third apart"
    assert counted(("a", "0A4-0.54", 0, 0), ("b", "0A4", 165, 0)) == [], "a small head is past"
    assert counted(("a", "0A4", 0, 0), ("b", "0A4-0.54", 165, 0)) == ["b"]
