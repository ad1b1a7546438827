"""One odd bar does not cost the piece: it is read as a musician would, marked, and said with its number.

Each row of ``ODD`` is a file with one oddity: what is said of it, and every bar as it is read (see ``files.said``).
"""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner

from sitegen.cli import main
from sitegen.score.bar_lengths import VoiceReach, overrun_length
from sitegen.score.oddities import Oddities
from sitegen.score.time_unit import COMMON, FINEST
from tests.score.files import back, mei, mei_bar, mei_note, musicxml, note, read, said, tuplet

C, E, G = (note(f"{step}5", 12, "quarter") for step in "CEG")
FULL = "C5 0 1, C5 1 1, C5 2 1, C5 3 1"
LOW = note("C3", 48, "whole", voice=5, staff=2)


def gap(duration: int) -> str:
    return f"<forward><duration>{duration}</duration></forward>"


def xml(*bars: str, staves: int = 1, time: str = "4/4", divisions: int = 12) -> tuple[str, str]:
    return ".musicxml", musicxml(*bars, staves=staves, time=time, divisions=divisions)


def with_text(old: str, new: str, bar: str = C * 4) -> tuple[str, str]:
    return ".musicxml", musicxml(bar).replace(old, new)


ODD: dict[str, tuple[tuple[str, str], str, list[str]]] = {
    "a note without length fills the bar": (
        xml(C * 4, C * 3 + note("C5", None)), "bar 2: a note has no length; it is read to fill the bar", [FULL, FULL]),
    "a negative length is its symbol's": (
        xml(C * 3 + note("C5", -12, "quarter")), "bar 1: a note lasts -1 quarter notes; it is read as its symbol",
        [FULL]),
    "a length of nothing is its symbol's where the bar lacks it": (
        xml(C * 3 + note("C5", 0, "quarter")), "bar 1: a note lasts 0 quarter notes; it is read as its symbol",
        [FULL]),
    "a length of nothing in a full bar is a grace": (
        xml(note("E5", 0, "quarter") + C * 4), "bar 1: a note lasts 0 quarter notes; it is read as a grace note",
        ["E5 0 0, " + FULL]),
    "an absurd length is its symbol's": (
        xml(C * 3 + note("C5", 999999, "quarter")), "it is read as its symbol", [FULL]),
    "a length beyond the bar against a symbol within it is the symbol's": (
        xml(note("C5", 96, "quarter") + C * 3), "bar 1: a note lasts 8 quarter notes; it is read as its symbol",
        [FULL]),
    "a note of a chord without length lasts as its chord": (
        xml(C * 3 + C + note("E5", 0, "", "<chord/>")), "it is read as long as its chord", [FULL + ", E5 3 1"]),
    "a length in words": (
        with_text("<duration>12", "<duration>four", C + note("C5", 36, "half", "<dot/>")), "a note has no length",
        ["C5 0 1, C5 1 3"]),
    "a pitch that cannot be is a rest": (with_text(">E<", ">H<", C + E + C * 2), "no pitch that can be read",
                                         ["C5 0 1, C5 2 1, C5 3 1"]),
    "of a chord whose first pitch cannot be the others stay": (
        with_text(">E<", ">H<", C * 3 + E + note("G5", 12, "quarter", "<chord/>")), "no pitch that can be read",
        ["C5 0 1, C5 1 1, C5 2 1, G5 3 1"]),
    "an octave that cannot be": (with_text("<step>E</step><octave>5", "<step>E</step><octave>99", C * 3 + E),
                                 "no pitch that can be read", ["C5 0 1, C5 1 1, C5 2 1"]),
    "a quarter tone is the nearest semitone": (
        with_text("</step>", "</step><alter>0.5</alter>"), "the nearest", [FULL]),
    "a unit of lengths that cannot be": (
        with_text("<divisions>12", "<divisions>0"), "bar 1: the unit of lengths is not said; the notes go by 12",
        [FULL]),
    "a unit of lengths against all symbols": (
        xml(C * 4, C * 4, divisions=120), "the unit of lengths cannot be; the notes go by 12 a quarter", [FULL, FULL]),
    "a time signature that cannot be": (xml(C * 4, time="4/0"), "a time signature cannot be read", [FULL]),
    "a tuplet without number": (
        with_text("<actual-notes>3", "<actual-notes>0", note("C5", 12, "quarter", tuplet(3, 2)) * 4),
        "a tuplet has no number", [FULL]),
    "a thousand staves": (with_text("<staves>1", "<staves>1000"), "a number of staves cannot be read", [FULL]),
    "a staff that is not there": (
        with_text("<staff>1", "<staff>7", C * 4), "a note stands on no staff of its part", [FULL]),
    "taken back beyond the bar line": (
        xml(C * 4, C * 4 + back(99) + note("C3", 48, "whole", voice=2)),
        "bar 2: a voice is taken back to no place in the bar", [FULL, "C3 0 4, " + FULL]),
    "a voice that is not taken back": (
        xml(C * 4 + LOW, staves=2), "a voice enters late and overruns the bar; it is read from the bar line",
        ["C3 0 4, " + FULL]),
    "a voice that is taken back too little": (
        xml(C * 4 + back(24) + LOW, staves=2), "a voice enters late and overruns the bar", ["C3 0 4, " + FULL]),
    "a gap out of the bar": (xml(C * 2 + gap(4800) + C * 2), "a gap leads out of the bar; it is left out", [FULL]),
    "a chord without its first note": (
        xml(note("C5", 12, "quarter", "<chord/>") + C * 3), "a chord has lost its first note", [FULL]),
    "a note held beyond a bar that the other voice fills": (
        xml(C * 3 + note("C5", 36, "half", "<dot/>") + back(72) + LOW, staves=2),
        "bar 1: its voices differ in length; it is read as 4 quarter notes long, in 4/4; 1 note is cut at its end",
        ["C3 0 4, " + FULL]),
    "a cadenza over a held bass": (
        xml(C * 4 + E * 3 + back(84) + LOW, C * 4, staves=2),
        "bar 1: its voices differ in length; it is read as 7 quarter notes long",
        ["C3 0 4, " + FULL + ", E5 4 1, E5 5 1, E5 6 1", FULL]),
    "a bar that is silent but for a sign": (
        xml(C * 4, '<attributes><measure-style><measure-repeat type="start">1</measure-repeat></measure-style>'
            "</attributes>" + note("r", 48)), "bar 2: a sign repeats earlier music; the bar is silent", [FULL, ""]),
    "MEI dots": ((".mei", mei(mei_bar(mei_note("c4", 1, 'dots="many"')))), "'many' cannot be the dots of a <note>",
                 ["C4 0 4"]),
    "MEI note without value": (
        (".mei", mei(mei_bar(mei_note("c4", 2) + '<note pname="d" oct="4"/>'))),
        "bar 1: a note has no value; it is read as long as the one before it", ["C4 0 2, D4 2 2"]),
    "MEI staff": ((".mei", mei(mei_bar(mei_note("c4", 1), mei_note("c3", 1)))), "bar 1: staff 2 is not defined",
                  ["C3 0 4, C4 0 4"]),
    "MEI repeated bar": (
        (".mei", mei(mei_bar(mei_note("c4", 1)) + mei_bar("<mRpt/>", number=7))),
        "bar 7: a sign repeats the bar before; it is written out", ["C4 0 4", "C4 0 4"]),
    "MEI half a bar repeated": (
        (".mei", mei(mei_bar(mei_note("c4", 2) + "<halfmRpt/>"))), "it is read as a silence", ["C4 0 2"]),
    "MEI voice held beyond the bar": (
        (".mei", mei(mei_bar(mei_note("c4", 2) + mei_note("d4", 1), mei_note("c3", 1)), staves=2)),
        "bar 1: its voices differ in length; it is read as 4 quarter notes long, in 4/4; 1 note is cut at its end",
        ["C3 0 4, C4 0 2, D4 2 2"]),
}  # fmt: skip


@pytest.mark.parametrize("case", ODD)
def test_an_odd_bar_is_read_and_said(case: str) -> None:
    (suffix, text), warning, bars = ODD[case]
    score = read(text, suffix)
    assert said(score) == bars
    assert len(score.warnings) == 1
    assert warning in score.warnings[0]
    assert "\n" not in score.warnings[0]


def test_a_bar_is_marked_where_its_voices_differ() -> None:
    held = xml(C * 3 + note("C5", 36, "half", "<dot/>") + back(72) + LOW, C * 4, staves=2)
    assert [bar.odd for bar in read(held[1], held[0]).bars] == [True, False]


def test_a_bar_that_all_voices_carry_on_together_is_long_and_not_odd() -> None:
    bar = C * 6 + back(72) + note("C3", 72, "whole", "<dot/>", voice=5, staff=2)
    score = read(musicxml(bar, staves=2), ".musicxml")
    assert (score.bars[0].odd, score.warnings, score.quarters(score.bars[0].length)) == (False, (), 6)


def test_a_bar_without_a_number_has_that_of_its_place() -> None:
    score = read(musicxml(C * 4, C * 4).replace('number="2"', 'number=""'), ".musicxml")
    assert [bar.number for bar in score.bars] == ["1", "2"]


def test_a_part_that_lacks_bars_rests_in_them() -> None:
    whole = musicxml(C * 4, E * 4, G * 4)
    part = whole[whole.index("<part id") : whole.index("</score-partwise>")]
    short = part.replace('"P1"', '"P2"')
    short = short[: short.index('<measure number="2">')] + short[short.index('<measure number="3">') :]
    text = whole.replace("</part-list>", '<score-part id="P2"><part-name>Voice</part-name></score-part></part-list>')
    score = read(text.replace("</score-partwise>", short + "</score-partwise>"), ".musicxml")
    assert [bar.split()[0] + f" {bar.count(',')}" for bar in said(score)] == ["C5 7", "E5 3", "G5 7"]
    assert "a part has 2 bars where another has 3" in score.warnings[0]


def test_tuplets_without_a_common_unit_are_put_on_a_grid_in_their_bar_alone() -> None:
    odd = "".join(note("C5", 12 * 16 // n, "quarter", tuplet(n, 16)) for n in (17, 19, 23, 29, 31))
    score = read(musicxml(C * 4, note("E5", 8, "quarter", tuplet(3, 2)) * 6, odd), ".musicxml")
    assert math.lcm(score.ticks_per_quarter, COMMON) <= FINEST
    assert said(score)[1].startswith("E5 0 2/3, E5 2/3 2/3")
    assert [bar.odd for bar in score.bars] == [False, False, True]
    last = [n for n in score.notes if n.bar == 2]
    assert len({n.onset for n in last}) == 5
    assert all(a.end == b.onset for a, b in pairwise(last))


def reach(*lengths: Fraction | int, sounds: bool = True, late: Fraction | int = 0) -> VoiceReach:
    voice, at = VoiceReach(), Fraction(late)
    for length in lengths:
        voice.goes_on(at, Fraction(length), sounds)
        at += length
    return voice


LENGTHS: dict[str, tuple[list[VoiceReach], int, bool]] = {
    "a voice that agrees with the metre rules": ([reach(1, 4), reach(2, 2)], 4, True),
    "else the length that most share": ([reach(1, 6), reach(2, 3), reach(3, 2)], 5, True),
    "else the longest": ([reach(1, 6), reach(2, 3)], 7, True),
    "one that strikes after the end is music": ([reach(4, 3), reach(2, 2)], 7, True),
    "a voice with a gap says nothing of the length": ([reach(1, 6), reach(2, late=2)], 7, False),
    "rests say nothing of the length": ([reach(1, 5), reach(4, sounds=False)], 6, True),
    "rests beyond the end are left out": ([reach(4), reach(4, 4, sounds=False)], 4, True),
    "all together": ([reach(1, 5), reach(6)], 6, False),
}


@pytest.mark.parametrize("case", LENGTHS)
def test_the_length_of_an_overrun_bar(case: str) -> None:
    voices, length, odd = LENGTHS[case]
    assert overrun_length(voices, Fraction(4)) == (length, odd)


def test_the_same_said_of_many_bars_is_one_line() -> None:
    odd = Oddities()
    for number in (3, 5, 9):
        odd.add(f"bar {number}", "it is odd", "Look at it.")
    odd.add("", "the whole is odd", "Look at it.")
    assert odd.told() == ("bars 3, 5 and 9: it is odd. Look at it.", "the whole is odd. Look at it.")


def test_analyse_says_on_standard_error_what_is_odd_and_goes_on(tmp_path: Path) -> None:
    file = tmp_path / "air.musicxml"
    file.write_text(musicxml(C * 3 + note("C5", -12, "quarter")), encoding="utf-8")
    done = CliRunner().invoke(main, ["analyse", str(file), "--format", "json"])
    assert done.exit_code == 0
    assert f"{file}, bar 1: warning: a note lasts -1 quarter notes" in done.stderr
    assert '"odd": false' in done.stdout
