"""What is written for a reader is shown where that reader is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.publishing import PublishedLibrary, find_theme, load_catalogue, render_piece
from sitegen.publishing.datafiles import hands_in_words
from tests.publishing.pieces import three_bars

NOTE = "For lessons & at home; ask before you perform it."


@pytest.mark.parametrize("theme", ["base", "recital", "studio"])
def test_what_holds_for_all_pieces_stands_on_their_pages_and_on_paper(theme: str) -> None:
    pages = render_piece(PublishedLibrary("A studio", theme=theme, licence_note=NOTE), three_bars())
    for page in ("index.html", "stages/as-written/index.html", "print.html"):
        assert NOTE.replace("&", "&amp;") in pages[f"pieces/three-bars/{page}"].decode()


@pytest.mark.parametrize(
    ("language", "said"),
    [
        (
            "en",
            "The work of the hands: 4, where an easy five-finger piece has 2 and a concert study 30. "
            "Most of it is leaps.",
        ),
        (
            "de",
            "Die Arbeit der Hände: 4; ein leichtes Fünffingerstück hat 2, eine Konzertetüde 30. "
            "Das meiste davon ist Springen.",
        ),
    ],
)
def test_difficulty_is_told_in_words(language: str, said: str) -> None:
    parts = (("notes a second", 1.2), ("leaps", 2.5), ("stretches", 0.1))
    stage = replace(three_bars().stages[0], difficulty=3.8, difficulty_parts=parts)
    assert hands_in_words(stage, load_catalogue(find_theme("studio"), language))[-1] == said


def test_a_stage_that_asks_for_nothing_is_not_called_difficult() -> None:
    stage = replace(three_bars().stages[0], difficulty=0.0, difficulty_parts=(("leaps", 0.0),))
    assert not any(
        "work of the hands" in line for line in hands_in_words(stage, load_catalogue(find_theme("base"), "en"))
    )
