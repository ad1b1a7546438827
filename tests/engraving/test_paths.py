"""Outlines written shorter draw the same."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitegen.engraving.paths import relative, shorter


@pytest.mark.parametrize(
    ("long", "short"),
    [
        ("M0 635 L4555 635", "M0 635H4555"),
        ("M2041 933 L2041 1607", "M2041 933V1607"),
        ("M10 20 L30 40", "M10 20L30 40"),
        ("M1 2 L1 3 L4 3", "M1 2L1 3L4 3"),
        ("M441 -245c-23 -4 -48 -6 -76 -6c-59 0 z", "M441-245c-23-4-48-6-76-6c-59 0z"),
        ("1195,1625 2468,1625.25 2468,1535.00", "1195,1625 2468,1625.2 2468,1535"),
    ],
)
def test_outlines_lose_nothing_that_is_seen(long: str, short: str) -> None:
    assert shorter(long) == short


_NUMBER = st.decimals(-9999, 9999, places=2).map(str)


@given(st.lists(st.tuples(st.sampled_from("lcMs"), st.lists(_NUMBER, min_size=2, max_size=6)), min_size=2, max_size=8))
def test_numbers_stay_apart_and_in_order(commands: list[tuple[str, list[str]]]) -> None:
    outline = "".join(letter + " ".join(numbers) + " " for letter, numbers in commands)
    tokens = re.findall(r"[A-Za-z]|-?[\d.]+", shorter(outline))
    wanted = [token for letter, numbers in commands for token in (letter, *numbers)]
    assert len(tokens) == len(wanted)
    for token, number in zip(tokens, wanted, strict=True):
        assert token == number or abs(float(token) - float(number)) < 0.1


def test_a_slur_is_counted_from_point_to_point() -> None:
    slur = "M2955,908 C3584,381 4501,153 5307,326 C4504,214 3611,436 2955,908"
    assert relative(slur) == "M2955 908c629-527 1546-755 2352-582-803-112-1696 110-2352 582z"
    assert relative("M0 1 L2 3") == "M0 1L2 3"


def test_a_slur_that_begins_above_the_sheet_needs_no_space_there() -> None:
    assert relative("M15,-6 C20,-9 30,-9 35,-6 C30,-8 20,-8 15,-6") == "M15-6c5-3 15-3 20 0-5-2-15-2-20 0z"
