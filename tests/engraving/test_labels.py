"""The name of a lone part takes no room; names that tell parts apart stay."""

from __future__ import annotations

import re

import pytest

from sitegen.engraving import engrave_bars
from sitegen.engraving.labels import without_lone_label
from sitegen.notation import write_stage
from tests.notation import score_of
from tests.writing.reading_back import stage_of

MEI = """<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0"><music><body><mdiv><score>
<scoreDef><staffGrp symbol="brace">{group}<staffDef n="1" lines="5" clef.shape="G" clef.line="2">{first}</staffDef>
<staffDef n="2" lines="5" clef.shape="F" clef.line="4">{second}</staffDef></staffGrp></scoreDef>
<section><measure n="1"><staff n="1"><layer n="1"><note xml:id="a" dur="1" pname="c" oct="5"/></layer></staff>
<staff n="2"><layer n="1"><note xml:id="b" dur="1" pname="c" oct="3"/></layer></staff></measure></section>
</score></mdiv></body></music></mei>"""
HUMDRUM = '**kern\t**kern\n*I"{left}\t*I"{right}\n*I\'Pno.\t*\n*clefF4\t*clefG2\n*M4/4\t*M4/4\n1C\t1c\n*-\t*-\n'


def _named(name: str) -> str:
    score = score_of("C5w D5w", "C3w D3w")
    text = write_stage(score, stage_of(score))
    assert "<part-name" in text
    return re.sub(r"<part-name[^>]*?(/>|>.*?</part-name>)", f"<part-name>{name}</part-name>", text, flags=re.S)


def test_a_lone_piano_is_not_named_in_musicxml() -> None:
    assert "Klavier" in _named("Klavier")
    drawn = engrave_bars(_named("Klavier"), "musicxml", 0, 1)
    assert "Klavier" not in drawn.svg
    assert drawn.width == engrave_bars(_named(""), "musicxml", 0, 1).width


@pytest.mark.parametrize(
    "names",
    [
        {"group": "<label>Piano</label><labelAbbr>Pno.</labelAbbr>"},
        {"first": "<label>Piano</label>", "second": "<label>Piano</label>"},
    ],
)
def test_a_lone_piano_is_not_named_in_mei(names: dict[str, str]) -> None:
    text = MEI.format(**{"group": "", "first": "", "second": "", **names})
    assert "Piano" not in engrave_bars(text, "mei", 0, 0).svg


def test_parts_that_have_names_of_their_own_keep_them() -> None:
    text = MEI.format(group="", first="<label>Primo</label>", second="<label>Secondo</label>")
    assert "Secondo" in engrave_bars(text, "mei", 0, 0).svg
    two = HUMDRUM.format(left="Piano", right="Flute")
    assert without_lone_label(two, "humdrum") == two


def test_a_lone_piano_is_not_named_in_humdrum_and_lines_stay() -> None:
    text = HUMDRUM.format(left="Piano", right="Piano")
    left_out = without_lone_label(text, "humdrum")
    assert "Piano" not in left_out
    assert "Pno" not in left_out
    assert [line.count("\t") for line in left_out.splitlines()] == [line.count("\t") for line in text.splitlines()]
    assert "Piano" not in engrave_bars(text, "humdrum", 0, 0).svg


def test_label_attributes_of_directions_are_no_names() -> None:
    text = '<scoreDef><staffGrp label="Piano" symbol="brace"/></scoreDef><tempo label="words">Adagio</tempo>'
    assert without_lone_label(text, "mei") == (
        '<scoreDef><staffGrp  symbol="brace"/></scoreDef><tempo label="words">Adagio</tempo>'
    )
