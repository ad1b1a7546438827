"""The readable page: a musician finds bar, chord, foreign note and address."""

import re
from dataclasses import replace

from sitegen.analysis.analysing import analyse
from sitegen.analysis.describing import describe, describe_bars
from sitegen.analysis.functions.finding import name_functions
from sitegen.analysis.nouns import Analysis, Phrase, Texture
from sitegen.analysis.tension.measuring import measure_tension
from sitegen.score import Score
from tests.analysis.chords import chords_of
from tests.notation import score_of
from tests.places.dividing import divided


def page(chords, key="C major", textures=(), phrases=(), **music):
    score = score_of(**music)
    harmonies = chords_of(score, chords, key)
    readings = name_functions(score, harmonies)
    tension = measure_tension(score, harmonies, readings)
    return describe(score, Analysis(harmonies, readings, textures, tension, phrases))


def in_full(chords, **music):
    """The same bars with a line for each note."""
    score = score_of(**music)
    harmonies = chords_of(score, chords, "C major")
    readings = name_functions(score, harmonies)
    analysis = Analysis(harmonies, readings, (), measure_tension(score, harmonies, readings), ())
    return describe_bars(score, analysis, 0, len(score.bars) - 1)


def test_a_bar_is_read_with_its_chords_beats_and_foreign_notes():
    lines = in_full("C:2 G7/B:2", right="F5q E5 D5h", left="C3h B2").splitlines()
    bar = lines[lines.index("bar 1 (4/4, C major)") :]
    assert bar[1].startswith("  beat 1        I           C           tension #")
    assert "foreign notes 0.10" in bar[1]
    assert bar[3].startswith("  beat 3        V65         G7/B        tension ")
    assert bar[2].startswith(
        "    bar 1, beat 1, right hand, F5: appoggiatura. F5 is struck on the first beat against the C major"
    )
    assert len(bar) == 4


def test_each_harmony_of_a_bar_in_full_has_its_reason_below_it():
    score = score_of(right="C5w | D5w", left="C3q E3 G3 E3 | B2q D3 G3 F3")
    analysis = analyse(score)
    lines = describe_bars(score, analysis, 0, 1).splitlines()
    below = [lines[place + 1] for place, line in enumerate(lines) if line.startswith("  beat")]
    assert below == [f"    {harmony.why}" for harmony in analysis.harmonies]
    assert all("chord on" in line for line in below)


def test_a_bar_that_a_repeat_sign_divides_is_one_bar_on_the_page():
    score = divided(score_of(right="C5w | C5h. D5q | C5w", left="C3w | C3w | C3w"), 1, 3, "X1")
    harmonies = chords_of(score, "C:12", "C major")
    readings = name_functions(score, harmonies)
    lines = describe(score, Analysis(harmonies, readings, (), (), ())).splitlines()
    assert "3 bars, 7 notes" in lines
    heads = [line for line in lines if line.startswith("bar ") and "hand" not in line]
    assert [re.split(r"[ :]", line)[1] for line in heads] == ["1", "2", "3"]
    assert any(line.startswith("  bar 2, right hand: ") and "D5 (beat 4)" in line for line in lines)


def test_what_is_alike_is_said_once():
    """A line of harmonies a bar, the notes of one function together, bars that read alike as a stretch."""
    figure = "C5s D5 E5 D5 C5 D5 E5 D5 C5 D5 E5 D5 C5 D5 E5q"
    bars = " | ".join([figure.replace("E5q", "E5s D5")] * 4)
    lines = page("C:4 C:4 C:4 C:4", right=bars, left="C3w | C3w | C3w | C3w").splitlines()
    reading = lines[lines.index("") + 1 :]
    assert reading[0].startswith("bar 1 (4/4, C major): I (C)   tension ")
    assert reading[1].startswith("  bar 1, right hand: passing notes D5 (beat 1+1/4), D5 (beat 1+3/4), ")
    assert reading[2] == "bars 2-3: the same"
    assert reading[3].startswith("bar 4: ")


def test_several_harmonies_of_a_bar_stand_in_one_line():
    text = page("C:2 G7/B:2", right="F5q E5 D5h", left="C3h B2")
    assert "bar 1 (4/4, C major): I (C), beat 3 V65 (G7/B)   tension " in text
    assert "  bar 1, right hand: appoggiatura F5 (beat 1)" in text


def test_the_head_tells_keys_and_kinds_of_notes():
    text = page("C:4 G:4", right="C5q D5 E5h | D5w", left="C3w | G2w")
    assert "2 bars, 6 notes" in text
    assert "Keys: C major (bars 1-2)" in text
    assert "Notes: 5 chord tones, 1 passing note" in text


def test_textures_and_phrase_ends_stand_at_their_bars():
    score = score_of(right="C5w | C5w", left="C3e G3 E3 G3 C3 G3 E3 G3 | C3w")
    bar = score.bars[0].length
    text = page(
        "C:8", right="C5w | C5w", left="C3e G3 E3 G3 C3 G3 E3 G3 | C3w",
        textures=(Texture(2, 0, bar, "Alberti bass"),), phrases=(Phrase(0, 2 * bar, "half cadence"),),
    )  # fmt: skip
    assert "\n  bar 1, left hand: Alberti bass\n" in text
    assert text.endswith("bar 2\n  the harmony goes on\n  a phrase ends (bars 1-2): a half cadence\n")
    assert "Phrase: bars 1-2: a half cadence" in text


def test_a_change_of_key_is_said_where_it_happens():
    score = score_of(right="C5w | D5w")
    first, second = chords_of(score, "C:4 D:4")
    harmonies = (first, replace(second, key="G major"))
    text = describe(score, Analysis(harmonies, name_functions(score, harmonies)))
    assert "bar 2 (G major)" in text
    assert "Keys: C major (bar 1); G major (bar 2)" in text


def test_where_there_is_no_harmony_the_page_says_so():
    text = page("-:4", right="C5w")
    assert "Keys: no harmony found here" in text
    assert "bar 1 (4/4): no harmony found here" in text
    assert "has no function" not in text


def test_a_score_without_bars_is_said_to_have_none():
    empty = Score(1, (), (), (), file="empty.musicxml")
    assert describe(empty, Analysis((), {})) == "empty.musicxml\nThe score has no bars: no harmony found here\n"


def test_a_tied_suspension_is_listed_though_it_begins_as_a_chord_tone():
    text = in_full("F:2 C:2", right="C5q F5q~ F5q E5", left="F3h C3")
    assert (
        "bar 1, beat 2, right hand, F5: chord tone, then suspension. F5 is the root of the F major chord. It is" in text
    )
