"""No figure of the page on accuracy is typed: each is one that was measured."""

from __future__ import annotations

import json

import pytest

from tests.benchmarks.accuracy import FIGURES, MEASURES, PAGE, with_tables


def test_the_page_has_the_tables_of_what_was_measured() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert with_tables(text, json.loads(FIGURES.read_text(encoding="utf-8"))) == text, (
        "write them with 'python -m tests.benchmarks.accuracy'"
    )


@pytest.mark.parametrize("name", MEASURES)
def test_all_that_is_measured_is_told(name: str) -> None:
    assert f"<!-- figures: {name} -->" in PAGE.read_text(encoding="utf-8")


def test_a_figure_that_is_typed_is_found() -> None:
    text = "<!-- figures: phrases -->\n\n| 99% |\n\n<!-- end -->"
    figures = {"phrases": {words: [0.5] for words, _ in MEASURES["phrases"].rows}}
    assert "99%" not in with_tables(text, figures)
    assert "50%" in with_tables(text, figures)
