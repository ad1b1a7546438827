"""The ladders as they stand, and where a rung goes that names the one before it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.reduction.techniques import rung_order
from sitegen.reduction.techniques.registry import techniques
from sitegen.reduction.techniques.rung_order import ladders, laid_out
from sitegen.reduction.techniques.rungs import Rung

MELODY = (
    "bass line, outer voices, (harmonic rhythm), simple tune over blocked chords, leaning notes?, "
    "(complete melody over bass), complete melody over blocked chords, (inner line with the melody), "
    "(right hand alone), (left hand alone)"
)
FIGURATION = (
    "bass line, outer voices, (one chord a harmony), blocked chords, leaning notes?, "
    "complete melody over blocked chords?, blocked chords at every turn of the figure, (inner line alone), "
    "(right hand alone), (left hand alone)"
)
COUNTERPOINT = (
    "bass line, (subject wherever it enters), highest voice over the bass, (subject and lowest voice), "
    "outer voices complete, all voices but the third, (highest voice alone), (second voice alone), "
    "(third voice alone), (fourth voice alone), (lowest voice alone), (two highest voices), (two middle voices), "
    "(two lowest voices), (highest and lowest voice)"
)
ONE_LINE = "main notes of the melody, simple tune, leaning notes"


def told(rungs) -> str:
    return ", ".join(f"({rung.name})" if rung.side else rung.name + "?" * rung.optional for rung in rungs)


@pytest.mark.parametrize(
    ("name", "stages"),
    [("melody", MELODY), ("figuration", FIGURATION), ("counterpoint", COUNTERPOINT), ("one line", ONE_LINE)],
)
def test_the_ladders(name, stages):
    assert told(ladders()[name]) == stages


def rung(technique, after="", **more):
    return Rung(technique, ladder="melody", after=after, **more)


THREE = (rung("bass"), rung("outer", "bass"), rung("chords", "outer", side=True), rung("tune", "outer"))


@pytest.mark.parametrize(
    ("added", "stages"),
    [
        ([], "bass, outer, (chords), tune"),
        ([rung("thirds", "bass")], "bass, thirds, outer, (chords), tune"),
        ([rung("thirds", "outer")], "bass, outer, (chords), thirds, tune"),
        ([rung("alone", "outer", side=True)], "bass, outer, (alone), (chords), tune"),
        ([rung("alone", "chords", side=True)], "bass, outer, (chords), (alone), tune"),
        ([rung("thirds", "outer"), rung("sixths", "thirds")], "bass, outer, (chords), tune, thirds, sixths"),
        ([rung("one note")], "one note, bass, outer, (chords), tune"),
    ],
)
def test_a_rung_goes_between_two_that_were_there(added, stages):
    assert told(laid_out([*added, *THREE])) == stages
    assert told(laid_out([*THREE[::-1], *added])) == stages, "in whatever order they are met"


def test_a_rung_that_stands_nowhere_is_named():
    with pytest.raises(ValueError, match="'thirds' stands after 'sixths', which ladder 'melody' does not have"):
        laid_out([*THREE, rung("thirds", "sixths")])
    with pytest.raises(ValueError, match="'thirds' stands after 'thirds'"):
        laid_out([*THREE, rung("thirds", "thirds")])


def test_a_ladder_that_there_is_not_is_named(monkeypatch):
    lost = replace(techniques()["bass line"], on=(Rung("bass line", ladder="meldoy"),))
    monkeypatch.setattr(rung_order, "techniques", lambda: {"bass line": lost})
    with pytest.raises(ValueError, match="'bass line' is for the ladder 'meldoy'; there are melody, figuration"):
        ladders.__wrapped__()
