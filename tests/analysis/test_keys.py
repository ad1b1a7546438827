"""A dominant that leads to a degree is applied to it; a cadence makes a key."""

from __future__ import annotations

import pytest

from sitegen.analysis.chords.naming import name_harmonies
from sitegen.analysis.harmony.keys import CONFIRMED, LASTING, settle_keys
from sitegen.analysis.nouns import Harmony
from sitegen.analysis.readings import KeyReading
from sitegen.analysis.reasons import TEACHERS_READING
from tests.notation import score_of

CHORDS = {  # symbol: pitch classes, bass, root
    "C": ({0, 4, 7}, 0, 0),
    "F": ({5, 9, 0}, 5, 5),
    "G": ({7, 11, 2}, 7, 7),
    "G/B": ({7, 11, 2}, 11, 7),
    "Am": ({9, 0, 4}, 9, 9),
    "Em": ({4, 7, 11}, 4, 4),
    "D7": ({2, 6, 9, 0}, 2, 2),
    "D7/F#": ({2, 6, 9, 0}, 6, 2),
    "F#m": ({6, 9, 1}, 6, 6),
    "B": ({11, 3, 6}, 11, 11),
}
SCORE = score_of(right=" | ".join(["C5w"] * 12))
BAR = 16


def heard(text, bars=1.0, reasons=()):
    """Chords of so many bars each, as ``C:G`` (in C major) or ``G:D7``."""
    length = int(BAR * bars)
    found = []
    for i, word in enumerate(text.split()):
        key, _, symbol = word.partition(":")
        tones, bass, root = CHORDS[symbol]
        found.append(Harmony(i * length, length, frozenset(tones), bass, root, f"{key} major", reasons=reasons))
    return tuple(found)


def numerals(harmonies, said=()):
    return " ".join(h.numeral or "-" for h in name_harmonies(SCORE, settle_keys(SCORE, harmonies, said)))


def keys(harmonies, said=()):
    return [harmony.key.split()[0] for harmony in settle_keys(SCORE, harmonies, said)]


def test_a_dominant_and_its_goal_within_a_key_are_chords_of_that_key():
    assert numerals(heard("C:C G:D7/F# G:G C:C C:F")) == "I V65/V V I IV"


def test_a_key_that_a_cadence_confirms_stays():
    """D7 to G on their roots, on the bar line: two bars of G major."""
    assert keys(heard("C:C G:Am G:D7 G:G C:C", 1)) == ["C", "G", "G", "G", "C"]


def test_a_cadence_alone_is_no_key():
    assert numerals(heard("C:C G:D7 G:G C:C C:F", 0.5)) == "I V7/V V I IV"


def test_what_lasts_for_most_of_a_phrase_is_a_key_without_a_cadence():
    inside = ["G:G/B", "G:Em", "G:Am", "G:G/B", "G:Em", "G:Am"]
    assert keys(heard(" ".join(["C:C", *inside[: 2 * LASTING], "C:C"]), 0.5))[1] == "G"
    assert keys(heard(" ".join(["C:C", *inside[: 2 * LASTING - 1], "C:C"]), 0.5))[1] == "C"


def test_a_passing_key_on_the_way_to_a_third_stays():
    """C, G, D: nothing tells whose degree G is."""
    assert keys(heard("C:C G:D7/F# G:G D:B D:Em")) == ["C", "G", "G", "D", "D"]


def test_chords_that_the_key_has_no_name_for_keep_their_own():
    assert keys(heard("C:C D:F#m D:G/B C:C")) == ["C", "D", "D", "C"]
    assert keys(heard("C:C D:Em D:G/B C:C")) == ["C", "C", "C", "C"]


def test_a_six_four_of_a_cadence_confirms_a_key_of_a_bar_and_a_half():
    harmonies = list(heard("C:C G:G G:D7/F# G:G/B C:C", CONFIRMED / 3))
    assert keys(harmonies)[1] == "C"
    six_four = Harmony(harmonies[1].onset, harmonies[1].duration, frozenset({7, 11, 2}), 2, 7, "G major", degree="Cad")
    assert keys([harmonies[0], six_four, *harmonies[2:]])[1] == "G"


@pytest.mark.parametrize("said", ["chord", "key"])
def test_what_the_teacher_says_stays(said):
    harmonies = heard("C:C G:D7/F# G:G C:C", reasons=TEACHERS_READING if said == "chord" else ())
    given = [KeyReading(BAR, 3 * BAR, "G major")] if said == "key" else []
    assert keys(harmonies, given) == ["C", "G", "G", "C"]
