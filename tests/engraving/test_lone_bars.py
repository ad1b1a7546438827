"""The last line of printed music holds two bars at least, where the lines above it hold several."""

from __future__ import annotations

import pytest

from sitegen.engraving.engraver import draw
from tests.building.studio import musicxml


def _bars_a_line(right: str, left: str, count: int, layout: str = "wide") -> list[int]:
    """How many bars each line of ``count`` bars alike holds."""
    text = musicxml(right=" | ".join([right] * count), left=" | ".join([left] * count))
    (sheets,) = draw(text, "musicxml", [layout], frozenset()).values()
    return [system.last_bar - system.first_bar + 1 for sheet in sheets for system in sheet.systems]


@pytest.mark.parametrize(
    ("right", "left"),
    [("C5q D5 E5 C5", "C3w"), ("C5e D5 E5 F5 G5 F5 E5 D5", "C3e G3 E3 G3 C3 G3 E3 G3"), ("C5h E5", "C3h G3")],
)
def test_the_last_bar_of_printed_music_has_company(right: str, left: str) -> None:
    lines = {count: _bars_a_line(right, left, count) for count in range(5, 22)}
    for count, held in lines.items():
        assert sum(held) == count
        assert held[-1] > 1, held


def test_a_bar_is_alone_where_its_neighbours_are() -> None:
    """A bar of 64 notes fills a line by itself: the last one too."""
    run = "C5x D5 E5 F5 G5 F5 E5 D5 " * 8
    assert _bars_a_line(run.strip(), "C3w", 3) == [1, 1, 1]


def test_a_phone_is_filled_line_by_line() -> None:
    """On a screen there is no sheet to be wasted, and wide bars would be read further apart."""
    assert 1 in {_bars_a_line("C5q D5 E5 C5", "C3w", count, "phone")[-1] for count in range(5, 12)}
