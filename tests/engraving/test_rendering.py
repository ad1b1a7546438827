"""A page without its style sheet is otherwise the page that verovio draws."""

from __future__ import annotations

import re
from collections.abc import Mapping

import verovio

from sitegen.engraving.rendering import PLAIN, render
from sitegen.engraving.svg import tidy
from sitegen.layouts import LAYOUTS, OPTIONS
from sitegen.notation import write_stage
from tests.notation import score_of
from tests.writing.reading_back import stage_of


def _loaded(text: str, options: Mapping[str, object]) -> verovio.toolkit:
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.resetXmlIdSeed(1)
    toolkit.setOptions({**OPTIONS, **options, "inputFrom": "xml", "pageWidth": LAYOUTS[0].width})
    assert toolkit.loadData(text)
    return toolkit


def test_a_page_is_what_it_is_with_its_style_sheet() -> None:
    score = score_of(
        "*f *dolce C5q!3 *< D5( E5) *. F5g G5 | " * 4, "*ped C3e!staccato G3 E3 G3 *up C3e3 G3 E3 C3q | " * 4
    )
    text = write_stage(score, stage_of(score))
    styled, plain = _loaded(text, {}), _loaded(text, PLAIN)
    assert styled.getPageCount() == plain.getPageCount() > 1
    for page in range(1, styled.getPageCount() + 1):
        drawn, told = render(plain, page), styled.renderToSVG(page)
        assert "<style" in told
        assert "<style" not in drawn
        keep = frozenset(re.findall(r'<g id="([^"]*)" class="note"', told))
        assert tidy(drawn, {}, keep) == tidy(told, {}, keep)
        assert re.findall(r"<text\b[^>]*>", drawn) == re.findall(r"<text\b[^>]*>", told)
