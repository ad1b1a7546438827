"""What is heard in a few bars: chords, keys, the bass, and where they change."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from sitegen.analysis.harmony import find_harmonies
from sitegen.analysis.harmony.beliefs import Beliefs
from sitegen.analysis.harmony.chords import CHORDS, QUALITIES, WIDTH
from sitegen.analysis.harmony.evidence import evidence_of
from sitegen.analysis.harmony.explaining import explain
from sitegen.analysis.harmony.grid import grid_of
from sitegen.analysis.nouns import Harmony
from sitegen.analysis.reason_texts import CHORDS as CHORD_WORDS
from sitegen.analysis.reasons import because
from sitegen.score import Score
from tests.notation import score_of

NAMES = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def covers(score: Score) -> bool:
    """Whether the harmonies fill the score from its start to its end without gap or overlap."""
    found = find_harmonies(score)
    return found[0].onset == 0 and found[-1].end == score.end and all(a.end == b.onset for a, b in pairwise(found))


def degrees(score: Score) -> str:
    """The degrees heard, one after another, a repeated one once: ``I V I``."""
    found = [h.degree for h in find_harmonies(score)]
    return " ".join(d for i, d in enumerate(found) if i == 0 or found[i - 1] != d)


def at(score: Score, quarter: int) -> Harmony:
    """The harmony that sounds at a quarter note counted from the start."""
    tick = quarter * score.ticks_per_quarter
    return next(h for h in find_harmonies(score) if h.onset <= tick < h.end)


def tones(harmony: Harmony) -> str:
    """Its pitch classes from its root up: ``G B D F``."""
    assert harmony.root is not None
    above = sorted((pc - harmony.root) % 12 for pc in harmony.pitch_classes)
    return " ".join(NAMES[(harmony.root + t) % 12] for t in above)


CADENCE = {"right": "E4+G4+C5h F4+A4+C5h | E4+G4+C5h D4+G4+B4h | E4+G4+C5w", "left": "C3h F3h | G3h G2h | C3w"}
"""I IV, the six-four over the dominant, the dominant, I."""


def test_nothing_sounds_nothing_is_heard():
    assert find_harmonies(Score(4, (), (), ())) == ()
    rest = score_of(right="rw")
    assert covers(rest)
    assert {h.pitch_classes for h in find_harmonies(rest)} == {frozenset()}
    assert find_harmonies(rest)[0].root is None


def test_one_note_is_no_harmony():
    assert {h.pitch_classes for h in find_harmonies(score_of(right="C4q"))} == {frozenset()}


def test_an_octave_is_no_harmony():
    assert {h.pitch_classes for h in find_harmonies(score_of(right="C5w C5w", left="C3w C3w"))} == {frozenset()}


ROW = "C4 C#4 F4 E4 | A4 Bb4 D4 Eb4 | F#4 B4 G4 G#4"
BACKWARDS = "G#5 G5 B5 F#5 | Eb5 D5 Bb5 A5 | E5 F5 C#5 C5"


@pytest.mark.parametrize(("right", "left"), [(ROW, ""), (f"{BACKWARDS} | {ROW}", f"{ROW} | {BACKWARDS}")])
def test_a_twelve_tone_row_has_no_harmony(right: str, left: str):
    score = score_of(right=right, left=left)
    assert covers(score)
    assert {h.pitch_classes for h in find_harmonies(score)} == {frozenset()}


def test_what_comes_before_the_first_note_has_no_harmony_and_a_later_rest_keeps_its_own():
    score = score_of(right="rw | E4+G4+C5h rh | rw | D4+G4+B4w", left="rw | C3h rh | rw | G2w")
    assert covers(score)
    assert not at(score, 0).pitch_classes
    assert tones(at(score, 4)) == tones(at(score, 7)) == tones(at(score, 9)) == "C E G"


def test_an_alberti_bar_is_one_chord():
    score = score_of(
        right="C5h E5h | F5h D5h | E5w",
        left="C3e G3 E3 G3 C3 G3 E3 G3 | B2e G3 D3 G3 B2 G3 D3 G3 | C3e G3 E3 G3 C3 G3 E3 G3",
    )
    assert [tones(h) for h in find_harmonies(score)] == ["C E G", "G B D F", "C E G"]
    assert [NAMES[h.bass or 0] for h in find_harmonies(score)] == ["C", "B", "C"]


def test_the_cadential_six_four_is_the_tonic_over_the_dominants_bass():
    score = score_of(**CADENCE)
    assert degrees(score) == "I IV Cad V I"
    assert (tones(at(score, 4)), at(score, 4).bass) == ("C E G", 7)


def test_a_seventh_that_comes_late_still_makes_a_seventh_chord():
    score = score_of(right="E4+G4+C5w | D4+G4+B4h. D4+F4+B4q | C4+E4+C5w", left="C3w | G2w | C3w")
    assert tones(at(score, 7)) == "G B D F"


def test_a_dominant_of_the_dominant_is_heard_in_the_key_that_stays():
    score = score_of(
        right="E4+G4+C5h F4+A4+C5h | F#4+A4+C5h G4+B4+D5h | F4+G4+B4h E4+G4+C5h",
        left="C3h F3h | D3h G2h | G2h C3h",
    )
    assert at(score, 4).degree == "V/V"
    assert {h.key for h in find_harmonies(score)} == {"C major"}


def test_a_modulation_is_followed():
    tonic = "E4+G4+C5h F4+A4+C5h | F4+G4+B4h E4+G4+C5h"
    there = "F#4+A4+D5h G4+B4+D5h | E4+A4+C5h F#4+C5+D5h | G4+B4+D5w"
    again = "E4+A4+C5h F#4+C5+D5h | G4+B4+D5w | C5+F#5+A5h G4+B4+G5h"
    score = score_of(
        right=f"{tonic} | {there} | {again}",
        left="C3h F3h | G2h C3h | D3h G2h | C3h D3h | G2w | C3h D3h | G2w | D3h G2h",
    )
    assert find_harmonies(score)[0].key == "C major"
    assert find_harmonies(score)[-1].key == "G major"


def test_the_neapolitan_is_the_major_chord_on_the_lowered_second_degree():
    score = score_of(
        right="E4+A4+C5h F4+D4+Bb4h | E4+G#4+B4h E4+A4+C5h | E4+G#4+D5h E4+A4+C5h", left="A2h D3h | E3h A2h | E3h A2h"
    )
    assert (tones(at(score, 2)), at(score, 2).degree, at(score, 2).bass) == ("Bb D F", "bII", 2)


@pytest.mark.parametrize(
    ("chord", "degree", "expected"),
    [("C5+F#5h", "It", {8, 0, 6}), ("C5+Eb5+F#5h", "Ger", {8, 0, 3, 6}), ("C5+D5+F#5h", "Fr", {8, 0, 2, 6})],
)
def test_augmented_sixths_by_their_spelling(chord: str, degree: str, expected: set[int]):
    score = score_of(
        right=f"C5+Eb5h D5+F5h | C5+Eb5h {chord} | B4+D5+G5w | C5+Eb5w",
        left="C3h B2h | C3h Ab2h | G2w | C3w",
        key=-3,
    )
    assert at(score, 6).degree == degree
    assert at(score, 6).pitch_classes == expected


def test_a_pedal_point_lies_below_chords_that_change():
    score = score_of(
        right="E4+G4+C5h F4+A4+C5h | F4+G4+B4h E4+G4+C5h | F4+A4+C5h F4+G4+B4h | E4+G4+C5w",
        left="C3w~ | C3w~ | C3w~ | C3w",
    )
    assert degrees(score).startswith("I IV V I")


def test_a_diminished_seventh_is_rooted_as_it_is_spelled():
    sharp = score_of(right="A4+C5h G#4+B4+F5h | A4+C5+E5w", left="A2h D3h | A2w")
    flat = score_of(right="C5+Eb5h B4+D5+Ab5h | C5+Eb5+G5w", left="C3h F3h | C3w", key=-3)
    assert (at(sharp, 2).root, at(flat, 2).root) == (8, 11)


@pytest.mark.parametrize(("fifths", "name"), [(-6, "Gb major"), (6, "F# major")])
def test_a_key_is_spelled_as_the_score_is(fifths: int, name: str):
    flat = {
        "right": "Bb4+Db5+Gb5h Cb5+Eb5+Gb5h | Cb5+Db5+F5h Bb4+Db5+Gb5h", "left": "Gb2h Cb3h | Db3h Gb2h", "key": -6
    }  # fmt: skip
    sharp = {"right": "A#4+C#5+F#5h B4+D#5+F#5h | B4+C#5+E#5h A#4+C#5+F#5h", "left": "F#2h B2h | C#3h F#2h", "key": 6}
    score = score_of(**(flat if fifths < 0 else sharp))
    assert {h.key for h in find_harmonies(score)} == {name}


@pytest.mark.parametrize(
    ("right", "left", "name"),
    [
        ("G#4+B#4+E#5h A#4+C#5+E#5h | A#4+D##5+F##4h G#4+B#4+E#5h", "E#3h A#3h | B#2h E#3h", "E# minor"),
        ("D##5+F##4+B#4h E#4+G##4+B#4h | E#4+A##4+C##5h D##4+F##4+B#4h", "B#2h E#3h | F##3h B#2h", "C major"),
        ("Bbb4+Dbb5+Fb5h Bbb4+Ebb5+Gbb5h | Ab4+Cb5+Ebb5h Bbb4+Dbb5+Fb5h", "Bbb2h Ebb3h | Fb3h Bbb2h", "Bbb minor"),
        ("Gb4+Bbb4+Ebb5h Abb4+Cb5+Ebb5h | Abb4+Bbb4+Db5h Gb4+Bbb4+Ebb5h", "Ebb2h Abb2h | Bbb2h Ebb2h", "D major"),
    ],
)
def test_no_key_is_called_by_a_name_flatter_than_bbb_or_sharper_than_e_sharp(right: str, left: str, name: str):
    """I IV V7 I in E# minor, B# major, Bbb minor and Ebb major."""
    assert {h.key for h in find_harmonies(score_of(right=right, left=left))} == {name}


@pytest.mark.parametrize(
    ("right", "left", "chord"),
    [
        ("Abb4+Dbb5w", "Fbb3w", "Heard: minor chord on Dbb, Fbb in the bass."),
        ("Dbb4+Gbb4w", "Bbbb3w", "Heard: minor chord on Gbb, Ab in the bass."),
        ("D##5+G##5w", "B##3w", "Heard: major chord on G##, B## in the bass."),
        ("A##4+D##5w", "F###3w", "Heard: major chord on D##, G# in the bass."),
    ],
)
def test_a_note_is_called_as_it_is_spelled_but_by_no_name_with_three_signs(right: str, left: str, chord: str):
    assert chord in find_harmonies(score_of(right=f"{right} {right}", left=f"{left} {left}"))[0].why


def test_a_tone_that_is_missing_is_called_as_its_chord_spells_it():
    """F## alone, heard as the seventh chord that leads to the dominant of C sharp minor: its seventh is E, not D##."""
    grid = grid_of(score := score_of(right="F##4w"))
    nothing = Beliefs(np.zeros((1, len(CHORDS))), np.zeros((1, 24, WIDTH)), np.zeros(1))
    [quality] = [k for k, quality in enumerate(QUALITIES) if quality.name == "diminished seventh"]
    why = explain(evidence_of(score, grid), nothing, CHORDS.index((quality, 7)), 7, 0, 1)
    assert why[0] == because("heard", quality="diminished seventh chord", root="F##", bass="F##")
    assert because("without", tones="A#, C#, E") in why


def test_the_same_music_is_heard_alike_in_every_key():
    """Moving the notes by a semitone moves root, bass and key with them."""
    c = [(h.onset, h.root, h.bass, h.degree) for h in find_harmonies(score_of(**CADENCE))]
    up = {
        "right": "F4+Ab4+Db5h Gb4+Bb4+Db5h | F4+Ab4+Db5h Eb4+Ab4+C5h | F4+Ab4+Db5w",
        "left": "Db3h Gb3h | Ab3h Ab2h | Db3w",
    }
    moved = [(h.onset, h.root, h.bass, h.degree) for h in find_harmonies(score_of(**up, key=-5))]
    assert [(o, (r + 1) % 12, (b + 1) % 12, d) for o, r, b, d in c if r is not None and b is not None] == moved


def test_every_kind_of_chord_has_a_word_for_catalogues():
    assert {f"{quality.name.removeprefix('cadential ')} chord" for quality in QUALITIES} == set(CHORD_WORDS)


def test_reasons_name_the_chord_and_its_bass():
    why = find_harmonies(score_of(**CADENCE))[0].why
    assert why.startswith(
        "Heard: major chord on C, C in the bass. Its notes: C, E and G. 100% of what sounds belongs to it."
    )


def test_twice_the_same():
    assert find_harmonies(score_of(**CADENCE)) == find_harmonies(score_of(**CADENCE))


def test_a_chord_broken_in_octaves_has_one_bass_and_a_chord_struck_anew_over_another_tone_a_new_one():
    broken = score_of(right="C4q Eb4q G4q C5q | Ab4+C5+Eb5w", left="C3q Eb3q G3q C4q | Ab2w")
    assert {h.bass for h in find_harmonies(broken) if h.onset < 4 * broken.ticks_per_quarter} == {0}
    struck = score_of(right="E4+G4+C5h E4+G4+C5h | D4+G4+B4w", left="C3h E3h | G2w")
    assert at(struck, 0).bass == 0
    assert at(struck, 2).bass == 4
