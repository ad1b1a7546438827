"""The notes of a file are counted a second time; where fewer are read, the piece says it and names the bar."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from sitegen.errors import ScoreError
from sitegen.score import open_source, read_score
from sitegen.score.counting import COUNTERS, first_difference
from tests.score.files import kern, mei, mei_bar, mei_note, musicxml, note, read

C, R = note("C5", 12, "quarter"), note("r", 12, "quarter")
MEI_C = mei_note("c4")
ABC = "X:1\nT:A tune by Bach\nK:C\n"

#: A text of each kind with what is counted in its bars.
COUNTED: dict[str, tuple[str, str, tuple[int, ...]]] = {
    "MusicXML: tied, grace, cue, hidden notes and chords, no rests": (
        "musicxml",
        musicxml(note("D5", None, "eighth", "<grace/>") + C + note("E5", 12, "", "<chord/>") + R + R + R,
                 C.replace("<note>", '<note print-object="no">') + note("C5", 36, "half", "<cue/>")), (3, 2)),
    "MusicXML: a note in a comment is none": ("musicxml", musicxml(C + f"<!--{C}-->" + R * 3), (1,)),
    "MusicXML: percussion and chord symbols are none": (
        "musicxml", musicxml(C + "<harmony><root><root-step>C</root-step></root></harmony><note><unpitched/><duration>"
                             "36</duration></note>"), (1,)),
    "MEI: chords, graces, tuplets": (
        "mei", mei(mei_bar('<chord dur="2"><note pname="c" oct="4"/><note pname="e" oct="4"/></chord>'
                           + mei_note("d4", 8, 'grace="acc"') + MEI_C * 2) + mei_bar(MEI_C, number=2)), (5, 1)),
    "MEI: one of several readings, nothing struck out": (
        "mei", mei(mei_bar(f"<app><lem>{MEI_C}</lem><rdg>{MEI_C * 3}</rdg></app><del>{MEI_C}</del><restore><del>{MEI_C}"
                           "</del></restore>")), (2,)),
    "MEI: a sign that repeats the bar before": (
        "mei", mei(mei_bar(MEI_C * 4) + mei_bar("<mRpt/>", number=2) + mei_bar("<mRpt/>", number=3)), (4, 4, 4)),
    "Humdrum: chords and graces, split spines, other spines": (
        "humdrum", kern("**kern  **text", "=1  =1", "4c 4e  la", "qg  .", "*^  *", "4c  4e  bed", "*v  *v  *", "=2  =2",
                        "4r  .", "4A  a"), (5, 1)),
    "ABC: chords, graces, no rests, symbols, words or decorations": (
        "abc", ABC + '"Am"C !trill!D {g}E z|[CEG]2- [CEG]2 % a remark\nw: a b c\n', (4, 6)),
    "ABC: voices, bars of rest, repeats, endings": (
        "abc", ABC + "V:1\n|:C4|1 D4:|2 E4|]\nV:2\nZ2|[CE]4|]\n", (1, 1, 3)),
    "ABC: voices within a line": ("abc", ABC + "[V:1] C4|D4|]\n[V:2] C,2 C,2|z4|]\n", (3, 1)),
}  # fmt: skip


@pytest.mark.parametrize("case", COUNTED)
def test_the_notes_of_a_text_are_counted(case: str) -> None:
    notation, text, counts = COUNTED[case]
    assert COUNTERS[notation](text) == counts


@pytest.mark.parametrize("case", COUNTED)
def test_as_many_are_read(case: str) -> None:
    notation, text, _ = COUNTED[case]
    suffix = {"musicxml": ".musicxml", "mei": ".mei", "humdrum": ".krn", "abc": ".abc"}[notation]
    assert not [line for line in read(text, suffix).warnings if "in this bar" in line]


def test_a_length_of_two_noteheads_is_one_note_of_the_tune() -> None:
    assert read(f"{ABC}L:1/8\nC5 D3|]\n".replace("K:C\nL:1/8\n", "L:1/8\nK:C\n"), ".abc").warnings == ()


def test_a_note_that_is_not_read_is_said_with_its_bar(tmp_path: Path) -> None:
    path = tmp_path / "air.musicxml"
    path.write_text(musicxml(C * 4, C * 4, C * 4), encoding="utf-8")
    source = open_source(path)
    assert source.counted == (4, 4, 4)
    more = read_score(replace(source, counted=(4, 5, 6)))
    assert more.warnings == (
        "bar 2: the file has 5 notes in this bar and 4 are read (in all 12 of 15); this is the first bar that differs. "
        "Compare this bar with your edition, and export the score again.",
    )


def test_notes_in_another_bar_and_bars_that_are_more_or_fewer() -> None:
    moved = first_difference((4, 4), (3, 5))
    assert moved is not None
    assert moved.told().endswith("others stand in another bar than in the file")
    assert first_difference((4, 4), (4, 2, 2)) is None
    fewer = first_difference((4, 4, 4), (4, 4))
    assert fewer is not None
    assert (fewer.bar, fewer.all_counted, fewer.all_read) == (1, 12, 8)


def test_a_file_of_which_nothing_is_read_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "air.musicxml"
    path.write_text(musicxml(R * 4), encoding="utf-8")
    with pytest.raises(ScoreError, match="none of its notes"):
        read_score(replace(open_source(path), counted=(4,)))
