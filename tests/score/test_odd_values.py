"""Numbers that no importer survives, in chord symbols, tablature, repeats, groups: each is read without, and said."""

from __future__ import annotations

import pytest

from sitegen.errors import ScoreError
from sitegen.score.lengths import MOST_NOTES
from tests.score.files import kern, mei, mei_bar, mei_note, musicxml, note, read, said

C = note("C5", 12, "quarter")
FULL = "C5 0 1, C5 1 1, C5 2 1, C5 3 1"
HUGE = "9" * 20


def harmony(inside: str) -> str:
    return f"<harmony><root><root-step>C</root-step></root><kind>major</kind>{inside}</harmony>"


def of_note(inside: str) -> str:
    return musicxml(C * 3 + note("C5", 12, "quarter", f"<notations>{inside}</notations>"))


def group(kind: str) -> str:
    return musicxml(C * 4).replace("<part-list>", f'<part-list><part-group type="{kind}" number="1"/>')


#: A file, and what is said of it; empty where nothing need be.
ODD: dict[str, tuple[str, str]] = {
    "a clef of a staff that is not there": (musicxml(C * 4).replace('clef number="1"', 'clef number="3"'), ""),
    "beats without their unit": (
        musicxml(C * 4).replace("<beat-type>4</beat-type>", ""), "a time signature cannot be read"),
    "a unit without beats": (musicxml(C * 4).replace("<beats>4</beats>", ""), "a time signature cannot be read"),
    "a group of parts that ends without a beginning": (group("stop"), ""),
    "a group of parts that has no end": (group("start"), ""),
    "a root altered by a word": (
        musicxml(harmony("").replace("</root>", "<root-alter>x</root-alter></root>") + C * 4),
        "bar 1: a chord symbol has a number that cannot be read"),
    "a degree of a huge number": (
        musicxml(harmony(f"<degree><degree-value>{HUGE}</degree-value><degree-alter>0</degree-alter><degree-type>add"
                         "</degree-type></degree>") + C * 4), "a chord symbol has a number"),
    "an inversion in words": (musicxml(harmony("<inversion>first</inversion>") + C * 4), "a chord symbol has a number"),
    "a huge fingering": (of_note(f"<technical><fingering>{HUGE * 2}</fingering></technical>"), "a fingering has"),
    "a huge string": (of_note(f"<technical><string>{HUGE}</string></technical>"), "a fingering has a number"),
    "a tremolo of many strokes": (
        of_note(f'<ornaments><tremolo type="single">{HUGE}</tremolo></ornaments>'), "a tremolo has a number"),
    "a passage played a million times": (
        musicxml(C * 4 + '<barline location="right"><repeat direction="backward" times="1000000"/></barline>'),
        "bar 1: a passage is to be played 1000000 times; it is played twice"),
    "a passage played more often than can be counted": (
        musicxml(C * 4 + f'<barline location="right"><repeat direction="backward" times="{HUGE}"/></barline>'),
        "times; it is played twice"),
    "a unit of lengths where none can stand": (
        musicxml(C * 3 + C.replace("<voice>", "<divisions/><voice>", 1)), ""),
    "a slur of a huge number": (of_note(f'<slur type="start" number="{HUGE}"/>'), ""),
}  # fmt: skip


@pytest.mark.parametrize("case", ODD)
def test_an_odd_value_is_read_without_and_said(case: str) -> None:
    text, warning = ODD[case]
    score = read(text, ".musicxml")
    assert said(score) == [FULL]
    assert len(score.warnings) == bool(warning)
    assert warning in "".join(score.warnings)


@pytest.mark.parametrize("octave", ["x", "", HUGE])
def test_a_rest_stands_where_no_place_of_it_can_be_read(octave: str) -> None:
    rest = f"<rest><display-step>B</display-step><display-octave>{octave}</display-octave></rest>"
    score = read(musicxml(C * 3 + f"<note>{rest}<duration>12</duration></note>"), ".musicxml")
    assert said(score) == ["C5 0 1, C5 1 1, C5 2 1"]
    assert "the place of a rest has a number" in score.warnings[0]


MANY: dict[str, tuple[str, str]] = {
    "MusicXML": (".musicxml", musicxml(*[C * 60] * (MOST_NOTES // 60 + 1))),
    "MEI": (".mei", mei("".join(mei_bar(mei_note("c4") * 60) for _ in range(MOST_NOTES // 60 + 1)))),
    "Humdrum": (".krn", kern("**kern", "=1", *["4c"] * (MOST_NOTES + 1))),
    "ABC": (".abc", "X:1\nK:C\n" + "CDEF|" * (MOST_NOTES // 4 + 1) + "\n"),
    "ABC of rests": (".abc", "X:1\nK:C\n" + "zz|" * (5 * MOST_NOTES) + "\n"),
    "ABC of bars of rest": (".abc", "X:1\nK:C\n" + "Z999|" * 40 + "\n"),
}


@pytest.mark.parametrize("case", MANY)
def test_more_than_a_piece_holds_is_refused(case: str) -> None:
    suffix, text = MANY[case]
    with pytest.raises(ScoreError, match="holds more than 30000 notes or 10000 bars"):
        read(text, suffix)


def test_lengths_without_a_common_unit_are_refused() -> None:
    lengths = " ".join(f"C1/{n}" for n in (97, 89, 83, 79, 73, 71))
    with pytest.raises(ScoreError, match="no common unit"):
        read(f"X:1\nK:C\n{lengths}|]\n", ".abc")


def test_a_bar_that_has_no_end_is_refused() -> None:
    with pytest.raises(ScoreError, match="bar 1: is 600 quarter notes long"):
        read(musicxml(C * 600), ".musicxml")


def test_a_key_of_many_sharps_is_none() -> None:
    assert said(read(mei(mei_bar(mei_note("f4", 1)), signature=f'key.sig="{HUGE}s"'), ".mei")) == ["F4 0 4"]


@pytest.mark.parametrize(("metre", "token"), [("*M99999999999/4", "4c"), ("*M4/0", "4c")])
def test_a_metre_that_cannot_be_is_left_out(metre: str, token: str) -> None:
    score = read(kern("**kern", metre, "=1", *[token] * 4, "=="), ".krn")
    assert "the time signature" in score.warnings[0]
    assert score.bars[0].metre.name == "4/4"


def test_small_print_stays_small() -> None:
    assert [n.small for n in read(musicxml(C.replace("<type>", '<type size="cue">') + C * 3), ".musicxml").notes] == [
        True, False, False, False,
    ]  # fmt: skip


def test_a_metronome_mark_of_no_end_is_none() -> None:
    mark = f"<metronome><beat-unit>quarter</beat-unit><per-minute>{'9' * 5000}</per-minute></metronome>"
    score = read(musicxml(f"<direction><direction-type>{mark}</direction-type></direction>" + C * 4), ".musicxml")
    assert said(score) == ["C5 0 1, C5 1 1, C5 2 1, C5 3 1"]
    assert "a metronome mark" in score.warnings[0]
