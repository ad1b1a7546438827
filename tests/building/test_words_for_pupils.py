"""What a page says to pupils: intervals, not semitones; the upbeat, not bar 0; what comes again once."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from sitegen.building.telling import Teller
from sitegen.publishing import find_theme, load_catalogue
from sitegen.publishing.datafiles import hands_in_words
from sitegen.publishing.describing import describe_stage
from sitegen.publishing.nouns import HandInfo
from sitegen.publishing.spelling import span_in_words
from sitegen.reduction import WideStretch
from tests.publishing.pieces import three_bars

_WORDS = {language: load_catalogue(find_theme("studio"), language) for language in ("en-GB", "en-US", "de")}


@pytest.mark.parametrize(
    ("semitones", "english", "german"),
    [
        (7, "a fifth", "eine Quinte"),
        (12, "an octave", "eine Oktave"),
        (13, "a ninth", "eine None"),
        (14, "a ninth", "eine None"),
        (15, "a tenth", "eine Dezime"),
        (16, "a tenth", "eine Dezime"),
        (24, "two octaves", "zwei Oktaven"),
        (31, "more than two octaves", "mehr als zwei Oktaven"),
    ],
)
def test_a_stretch_is_told_by_its_interval(semitones: int, english: str, german: str) -> None:
    assert span_in_words(semitones, _WORDS["en-GB"]) == english
    assert span_in_words(semitones, _WORDS["de"]) == german


def test_a_stretch_that_comes_again_is_told_once_with_all_its_bars() -> None:
    tenth, same, ninth = WideStretch(0, 16, "rolled"), WideStretch(90, 15, "rolled"), WideStretch(99, 14, "shared")
    places = [("0", tenth), ("3", same), ("3", tenth), ("5", ninth), ("7", tenth)]
    assert Teller(_WORDS["en-GB"]).stretches(places) == (
        "Bars 0 (the upbeat), 3 and 7: a tenth, rolled",
        "Bar 5: a ninth, shared between the hands",
    )
    assert Teller(_WORDS["en-US"]).stretches(places[3:4]) == ("Measure 5: a ninth, shared between the hands",)


def test_the_widest_stretch_of_a_hand_is_an_interval() -> None:
    whole = three_bars()
    stage = replace(whole.stages[0], hands=(HandInfo("left", 16),))
    assert hands_in_words(stage, _WORDS["en-GB"]) == ["Left hand: the widest stretch is a tenth."]


def test_an_upbeat_is_called_so() -> None:
    whole = three_bars()
    bars = (replace(whole.bars[0], number="0", lead=Fraction(2)), *whole.bars[1:])
    lines = describe_stage(replace(whole, bars=bars), whole.stages[0], _WORDS["en-GB"]).bars
    assert lines[0].startswith("Upbeat: ")
    assert lines[1].startswith("Bar ")
