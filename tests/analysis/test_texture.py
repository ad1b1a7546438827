"""The name of a texture is the one that a pianist would give it: one example of each, and near misses."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitegen.analysis.nouns import Harmony, NoteReading
from sitegen.analysis.texture.finding import find_textures
from sitegen.analysis.texture.table import KINDS
from tests.notation import score_of

C_MAJOR = frozenset({0, 4, 7})
REST = "rw rw"


def textures_of(score, tones=C_MAJOR):
    harmonies = (Harmony(0, score.end, tones),)
    readings = {n.id: NoteReading("chord tone" if n.pitch.pitch_class in tones else "free") for n in score.notes}
    return find_textures(score, harmonies, readings)


def kinds_of(hand, text, metre="4/4", tones=C_MAJOR):
    score = score_of(**{hand: f"{text} | {text}" if ";" not in text else text}, metre=metre)
    return [t.kind for t in textures_of(score, tones)]


EXAMPLES = [
    ("left", "C3e G3 E3 G3 C3 G3 E3 G3", "4/4", "Alberti bass"),
    ("left", "C3e E3 G3 C3 E3 G3", "6/8", "broken chord"),
    ("right", "C5s E5 G5 E5 C5 E5 G5 E5", "2/4", "broken chord"),
    ("left", "C2s G2 C3 E3 G3 C4 E4 G4", "2/4", "arpeggio"),
    ("left", "C2e G2 E3 C3 G3 E4", "6/8", "arpeggio"),
    ("left", "C3q E3+G3 E3+G3", "3/4", "waltz bass"),
    ("left", "G2e C3+E3 G2 C3+E3", "2/4", "march bass"),
    ("left", "C2+C3e G3+C4+E4 G1+G2 G3+C4+E4", "2/4", "stride bass"),
    ("left", "C3q E3+G3h.", "4/4", "bass and chord"),
    ("right", "C4+E4+G4e C4+E4+G4 C4+E4+G4 C4+E4+G4", "2/4", "repeated chords"),
    ("right", "E4s C5 E4 C5 E4 C5 E4 C5", "2/4", "tremolo"),
    ("right", "C4+E4w!trem", "4/4", "tremolo"),
    ("right", "C4+C5q E4+E5 G4+G5 E4+E5", "4/4", "octave doubling"),
    ("right", "C4s D4 E4 F4 G4 A4 B4 C5", "2/4", "scale run"),
    ("right", "E5q. F5e G5q E5", "4/4", "melody"),
    ("right", "C4+E4+G4q C4+F4+A4 B3+F4+G4 C4+E4+G4", "4/4", "chordal"),
    (
        "right",
        "E5q D5h C5q D5q E5h F5q ; C5e B4 A4q G4e A4 B4 C5 B4q C5e D5 C5 B4 A4q",
        "4/4",
        "contrapuntal",
    ),
    ("right", "E5h G5h ; C5e3 G4 E4 C5 G4 E4 C5 G4 E4 C5 G4 E4", "4/4", "melody and figuration"),
]


@pytest.mark.parametrize(("hand", "text", "metre", "kind"), EXAMPLES, ids=[f"{e[3]} {e[1][:9]}" for e in EXAMPLES])
def test_each_figure_has_its_name(hand, text, metre, kind):
    assert kinds_of(hand, text, metre) == [kind]


NEAR_MISSES = [
    ("left", "C3e E3 G3 E3 C3 E3 G3 E3", "4/4", "Alberti bass", "broken chord"),
    ("left", "C3q E3 G3 E3", "4/4", "broken chord", "melody"),
    ("right", "C4q D4 E4 F4", "4/4", "scale run", "melody"),
    ("right", "C5s D5 C5 D5 C5 D5 C5 D5", "2/4", "tremolo", "melody"),
    ("right", "C5q E5+G5 E5+G5", "3/4", "waltz bass", "chordal"),
    ("left", "C3q E3+G3 E3+G3 E3+G3", "4/4", "waltz bass", "bass and chord"),
    ("right", "C4+E4+G4e D4+F4+A4 E4+G4+B4 D4+F4+A4", "2/4", "repeated chords", "chordal"),
    ("right", "C4+C5q E4 G4 E4", "4/4", "octave doubling", "melody"),
    ("right", "E5h G5h ; C5h B4h", "4/4", "contrapuntal", "chordal"),
]


@pytest.mark.parametrize(
    ("hand", "text", "metre", "almost", "kind"), NEAR_MISSES, ids=[f"no {e[3]}" for e in NEAR_MISSES]
)
def test_what_only_resembles_a_figure_has_another_name(hand, text, metre, almost, kind):
    assert kinds_of(hand, text, metre) == [kind]


def test_an_empty_stretch_is_silent_and_a_held_note_is_not():
    score = score_of(right="C5w~ C5w rw C5w", left="rw rw rw C3w")
    found = {(t.staff, t.onset // 16, t.duration // 16): t.kind for t in textures_of(score)}
    assert found[1, 2, 1] == "silent"
    assert found[2, 0, 3] == "silent"
    assert found[1, 0, 2] == "melody"


def test_one_odd_half_bar_inside_a_figure_does_not_change_its_name():
    figure = "C3e G3 E3 G3 C3 G3 E3 G3"
    score = score_of(left=f"{figure} {figure} C3e G3 E3 G3 C3q G3 {figure}")
    assert [t.kind for t in textures_of(score)] == ["Alberti bass"]


def test_half_a_bar_of_another_whole_figure_has_its_own_name():
    figure = "C3e G3 E3 G3 C3 G3 E3 G3"
    score = score_of(left=f"{figure} {figure} C3e G3 E3 G3 C3+E3 C3+E3 C3+E3 C3+E3 {figure} {figure}")
    assert [t.kind for t in textures_of(score)] == ["Alberti bass", "repeated chords", "Alberti bass"]


def test_two_hands_with_lines_of_their_own_are_counterpoint():
    line = "C5e D5 E5 F5 G5q F5e E5 | D5e E5 F5 D5 E5q D5"
    answer = "C3q D3e E3 F3e E3 D3 C3 | G3q F3e E3 D3e E3 F3q"
    score = score_of(right=line, left=answer)
    assert {t.kind for t in textures_of(score)} == {"contrapuntal"}


@pytest.mark.parametrize(("left", "kind"), [("C3e D3 E3q F3q", "contrapuntal"), ("C3e D3 E3 F3 G3q", "melody")])
def test_two_hands_in_one_rhythm_but_for_a_note_in_six_are_no_counterpoint(left: str, kind: str):
    score = score_of(right="C5e D5 E5 F5 E5 D5 " * 2, left=f"{left} {left}", metre="3/4")
    assert {t.kind for t in textures_of(score)} == {kind}


def test_a_run_under_a_tune_is_a_run_and_no_counterpoint():
    score = score_of(right="C5q D5 E5 | D5 C5 B4", left="C3s D3 E3 F3 G3 A3 B3 C4 B3 A3 G3 F3 " * 2, metre="3/4")
    assert [t.kind for t in textures_of(score) if t.staff == 2] == ["scale run"]


@pytest.mark.parametrize(
    ("upper", "lower", "kinds"),
    [
        ("C5e D5 E5 F5 G5 F5 ", "A4e B4 C5q D5q ", ["contrapuntal", "contrapuntal"]),
        ("C5e D5 E5 F5 G5s A5 G5 F5 ", "A4e B4 C5 D5 E5 D5 ", ["chordal", "melody"]),
    ],
)
def test_a_hand_of_two_voices_is_a_line_beside_the_other_if_a_third_of_its_attacks_are_of_one_voice(
    upper: str, lower: str, kinds: list[str]
):
    score = score_of(right=f"{upper * 2} ; {lower * 2}", left="C3q D3 E3 | F3 E3 D3", metre="3/4")
    assert [t.kind for t in textures_of(score)] == kinds


def test_a_tune_over_an_alberti_bass_is_not_counterpoint():
    score = score_of(right="E5q D5 C5 D5 | E5 F5 E5h", left="C3e G3 E3 G3 C3 G3 E3 G3 C3 G3 E3 G3 C3 G3 E3 G3")
    assert [(t.staff, t.kind) for t in textures_of(score)] == [(1, "melody"), (2, "Alberti bass")]


VALUES = st.lists(st.sampled_from(["C4e", "E4q", "G3h", "rq", "C4+E4q", "B2s", "D5g"]), max_size=40)


@given(VALUES, VALUES)
def test_the_textures_of_a_staff_follow_each_other_without_gap(upper, lower):
    score = score_of(right=" ".join(upper) or "rw", left=" ".join(lower) or "rw")
    found = textures_of(score)
    for staff in score.staves:
        own = [t for t in found if t.staff == staff.number]
        assert own[0].onset == 0
        assert own[-1].end == score.end
        assert all(a.end == b.onset and a.kind != b.kind for a, b in pairwise(own))
        assert {t.kind for t in own} <= set(KINDS)
