"""Addresses of bars: printed in the page's address, read from links."""

from __future__ import annotations

import pytest

from sitegen.places.addresses import fragment_of, parse_link


@pytest.mark.parametrize(
    ("first", "last", "fragment"),
    [
        ("41", "41", "#bar-41"),
        ("5", "8", "#bars-5-8"),
        ("0", "0", "#bar-0"),
        ("12a", "14", "#bars-12a-14"),
        ("X3", "X3", "#bar-x3"),
        ("1 (second)", "2 (second)", "#bars-1.second-2.second"),
    ],
)
def test_the_page_s_address_has_printed_numbers(first: str, last: str, fragment: str) -> None:
    assert fragment_of(first, last) == fragment


@pytest.mark.parametrize(
    ("link", "first", "last", "stage"),
    [
        ("bars:5-8", "5", "8", ""),
        ("bars:5–8/bass-line", "5", "8", "bass-line"),
        ("bars:5-8/Bass line", "5", "8", "Bass line"),
        ("bars:5-8/Au%C3%9Fenstimmen", "5", "8", "Außenstimmen"),
        ("bar:4", "4", "4", ""),
        ("bars:12a-14/as-written", "12a", "14", "as-written"),
    ],
)
def test_a_link_names_bars_and_a_stage(link: str, first: str, last: str, stage: str) -> None:
    found = parse_link(link)
    assert (found.bars.first, found.bars.last, found.stage) == (first, last, stage)
