"""What is written for a reader is shown where that reader is."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from sitegen.publishing import (
    FormInfo,
    HarmonyInfo,
    PhraseInfo,
    PlanDay,
    PlanTask,
    PublishedLibrary,
    find_theme,
    load_catalogue,
    render_piece,
)
from sitegen.publishing.datafiles import hands_in_words
from tests.publishing.pieces import three_bars

NOTE = "For lessons & at home; ask before you perform it."


@pytest.mark.parametrize("theme", ["base", "recital", "studio"])
def test_what_holds_for_all_pieces_stands_on_their_pages_and_on_paper(theme: str) -> None:
    piece = replace(three_bars(), plan=(PlanDay("1", (PlanTask("Sing the bass."),)),))
    pages = render_piece(PublishedLibrary("A studio", theme=theme, licence_note=NOTE), piece)
    note = NOTE.replace("&", "&amp;")
    for page in ("index.html", "stages/as-written/index.html", "reading.html"):
        assert note in pages[f"pieces/three-bars/{page}"].decode()
    for paper in ("print.html", "plan.html"):
        # the foot of a page is not printed
        assert note in pages[f"pieces/three-bars/{paper}"].decode().partition("<main")[2].partition("</main>")[0]


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


def test_the_teacher_finds_a_phrase_a_form_and_a_reason_where_she_looks() -> None:
    piece = replace(
        three_bars(),
        harmonies=(HarmonyInfo(1, Fraction(3, 2), "bII6", "Cb/Eb", "Bb major", "Because <she> said so."),),
        phrases=(PhraseInfo(1, 2, "half cadence"),),
        forms=(FormInfo(1, 2, "a period"), FormInfo(1, 1, "perhaps a sentence", certain=False)),
    )
    pages = render_piece(PublishedLibrary("A studio", theme="base"), piece)
    teacher, pupil = (pages[f"pieces/three-bars/{page}"].decode() for page in ("reading.html", "index.html"))
    for said in ("Bars 1 to 2</a>: half cadence", "Bars 1 to 2</a>: a period", "Bar 1</a>: perhaps a sentence",
                 "C♭/E♭, ♭II6 in B♭ major", "beat 2½", "Because &lt;she&gt; said so."):  # fmt: skip
        assert said in teacher
    assert "Bars 1 to 2</a>: a period" in pupil
    assert "perhaps" not in pupil
    assert 'href="reading.html"' in pupil
