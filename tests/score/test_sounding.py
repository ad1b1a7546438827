"""What sounds in MusicXML: the alteration counts and not its sign, parts that transpose, the ends of the keyboard."""

from __future__ import annotations

import re

import pytest

from sitegen.score import Pitch
from sitegen.score.sounding import Transposition, on_keyboard, transposition
from tests.score.files import musicxml, note, read, said

C = note("C5", 12, "quarter")
REST = note("r", 36, "half", "<dot/>")


def altered(alter: str, sign: str) -> str:
    return C.replace("</step>", f"</step><alter>{alter}</alter>").replace("<staff>", f"{sign}<staff>")


@pytest.mark.parametrize("sign", ["", "<accidental/>", "<accidental>sharp-up</accidental>",
                                  "<accidental>arrow-up</accidental>", "<accidental>other</accidental>",
                                  "<accidental>natural</accidental>"])  # fmt: skip
def test_the_alteration_counts_whatever_sign_shows_it(sign: str) -> None:
    assert said(read(musicxml(altered("1", sign) + REST), ".musicxml")) == ["C#5 0 1"]


@pytest.mark.parametrize(("alter", "name"), [("0.5", "C5"), ("1.5", "C#5"), ("-0.5", "C5"), ("-1.5", "Cb5")])
def test_a_quarter_tone_is_the_nearest_key_and_said(alter: str, name: str) -> None:
    score = read(musicxml(altered(alter, "<accidental>quarter-sharp</accidental>") + REST), ".musicxml")
    assert said(score) == [f"{name} 0 1"]
    assert "bar 1: a note is altered by no whole semitone, and no piano has it" in score.warnings[0]


def transposed(inside: str, pitch: str, fifths: int = 0) -> str:
    text = musicxml(note(pitch, 48, "whole"), fifths=fifths)
    return text.replace("</clef></attributes>", f"</clef><transpose>{inside}</transpose></attributes>")


TRANSPOSED = {
    "clarinet in B flat": ("<diatonic>-1</diatonic><chromatic>-2</chromatic>", "D5", 2, "C5", 0),
    "horn in F": ("<diatonic>-4</diatonic><chromatic>-7</chromatic>", "G4", 1, "C4", 0),
    "clarinet in A, of which the steps are not said": ("<chromatic>-3</chromatic>", "F#5", 0, "D#5", 3),
    "an octave lower": ("<chromatic>0</chromatic><octave-change>-1</octave-change>", "C4", 0, "C3", 0),
}


@pytest.mark.parametrize("case", TRANSPOSED)
def test_a_transposing_part_is_read_as_it_sounds(case: str) -> None:
    inside, written, fifths, sounds, key = TRANSPOSED[case]
    score = read(transposed(inside, written, fifths), ".musicxml")
    assert (said(score), score.bars[0].fifths) == ([f"{sounds} 0 4"], key)


def test_keys_and_spellings_of_a_transposition() -> None:
    a_minor_second = transposition(1, 1)
    assert a_minor_second.of(Pitch("B", 1, 4)) == Pitch("C", 1, 5)
    assert Transposition(1, 4).of(Pitch("B", 2, 4)).midi == Pitch("B", 2, 4).midi + 4
    assert (a_minor_second.of_key(0), a_minor_second.of_key(-4), transposition(None, 7).of_key(6)) == (-5, 3, 7)


@pytest.mark.parametrize(("pitch", "played"), [("C9", "C8"), ("D8", "D7"), ("G0", "G1"), ("A0", "A0"), ("C8", "C8")])
def test_what_lies_beyond_the_keyboard_is_played_where_a_piano_has_it(pitch: str, played: str) -> None:
    score = read(musicxml(note(pitch, 12, "quarter") + REST), ".musicxml")
    assert said(score) == [f"{played} 0 1"]
    expected = f"bar 1: {pitch} lies beyond the keyboard; it is played as {played}"
    assert [line.split(". ")[0] for line in score.warnings] == ([expected] if pitch != played else [])


def test_far_beyond_is_brought_back_too() -> None:
    assert [on_keyboard(Pitch("C", 0, octave)).octave for octave in (-1, 0, 4, 9, 12)] == [1, 1, 4, 8, 8]


def metre_free(*bars: str, time: str) -> list[tuple[str, str, int]]:
    score = read(re.sub("<time>.*?</time>", time, musicxml(*bars)), ".musicxml")
    return [(bar.number, bar.metre.name, bar.lead) for bar in score.bars]


def test_free_music_has_a_metre_of_its_own_in_each_bar() -> None:
    bars = metre_free(C * 3, C * 7, note("C5", 6, "eighth") * 5, time="<time><senza-misura/></time>")
    assert bars == [("1", "3/4", 0), ("2", "7/4", 0), ("3", "5/8", 0)]


def test_without_a_time_signature_most_bars_say_it() -> None:
    bars = metre_free(C, C * 3, C * 3, C * 3, time="")
    assert [(number, name) for number, name, _ in bars] == [("0", "3/4"), ("1", "3/4"), ("2", "3/4"), ("3", "3/4")]
    assert bars[0][2] > 0


def test_a_first_bar_without_attributes() -> None:
    score = read(re.sub("<attributes>.*?</attributes>", "", musicxml(C * 3, C * 3)), ".musicxml")
    assert [bar.metre.name for bar in score.bars] == ["3/4", "3/4"]
    assert any("the bars are read in 3/4" in line for line in score.warnings)


def test_rests_of_whole_bars_over_a_change_of_metre() -> None:
    change = "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
    rest = '<note><rest measure="yes"/><duration>{}</duration></note>'
    score = read(musicxml(C * 4, rest.format(48), change + rest.format(36), C * 3), ".musicxml")
    assert [score.quarters(bar.length) for bar in score.bars] == [4, 4, 3, 3]


def test_two_time_signatures_are_one_after_the_other_in_each_bar() -> None:
    double = "<time><beats>3</beats><beat-type>8</beat-type><beats>2</beats><beat-type>4</beat-type></time>"
    text = re.sub("<time>.*?</time>", double, musicxml(C * 3 + note("C5", 6, "eighth")))
    assert read(text, ".musicxml").bars[0].metre.name == "7/8"


METRONOMES = {
    "<beat-unit>breve</beat-unit><per-minute>30</per-minute>": 240,
    "<beat-unit>long</beat-unit><beat-unit-dot/><per-minute>10</per-minute>": 240,
    "<beat-unit>half</beat-unit><beat-unit-tied><beat-unit>eighth</beat-unit></beat-unit-tied><per-minute>60"
    "</per-minute>": 150,
    "<beat-unit>quarter</beat-unit><beat-unit>eighth</beat-unit>": None,  # an equation says no speed
    "<beat-unit>maxima</beat-unit><per-minute>900</per-minute>": None,
}


@pytest.mark.parametrize("mark", METRONOMES)
def test_metronome_marks_of_long_and_of_tied_notes(mark: str) -> None:
    sign = f"<direction><direction-type><metronome>{mark}</metronome></direction-type></direction>"
    tempi = read(musicxml(sign + C * 4), ".musicxml").tempi
    assert [tempo.figure for tempo in tempi] == [figure for figure in [METRONOMES[mark]] if figure]
