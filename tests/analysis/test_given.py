"""Which chord of the search stands for one that the teacher gives, in a key that has it not."""

from __future__ import annotations

import numpy as np
import pytest

from sitegen.analysis.chords.spelled import spell
from sitegen.analysis.harmony.chords import CHORDS, QUALITIES
from sitegen.analysis.harmony.given import GivenChord, given_on
from sitegen.analysis.harmony.grid import grid_of
from sitegen.analysis.readings import KeyReading
from tests.notation import score_of

NAMES = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def stands_for(symbol: str, key: str) -> set[str]:
    """What the search may take a chord of one bar for, where this key is given too."""
    score = score_of(right="C4w")
    chord = spell(symbol)
    assert chord is not None
    given = given_on(grid_of(score), [GivenChord(0, score.end, chord)], [KeyReading(0, score.end, key)])
    allowed = [CHORDS[k] for k in np.flatnonzero(given.barred_chords[0] == 0)]
    return {f"{NAMES[root]} {QUALITIES[quality].name}" for quality, root in allowed}


def test_a_chord_that_the_key_has_stands_for_itself():
    assert stands_for("Dm7", "C major") == {"D minor seventh"}
    assert stands_for("Ab", "C minor") == {"Ab major"}


@pytest.mark.parametrize(
    ("symbol", "root"),
    [("Eaug", "E major"), ("Ebaug", "Eb major"), ("C(no5)", "C major"), ("E7#5", "E dominant seventh")],
)
def test_a_chord_that_the_key_has_not_is_taken_for_another_on_its_root(symbol: str, root: str):
    """E+ is the dominant of A minor in C major, though C+ has all its tones."""
    assert root in stands_for(symbol, "C major")
    assert {name.split()[0] for name in stands_for(symbol, "C major")} == {root.split()[0]}


@pytest.mark.parametrize(
    ("symbol", "tones"),
    [
        ("Ebdim", {"F# diminished seventh"}),
        ("Abdim", {"B diminished seventh", "D diminished seventh"}),
    ],
)
def test_a_root_in_common_is_worth_half_of_all_tones_in_common(symbol: str, tones: set[str]):
    """In C minor Eb, Gb and A are three tones of the seventh that leads to G, and only one of Eb major."""
    assert stands_for(symbol, "C minor") == tones


@pytest.mark.parametrize(
    ("symbol", "tones"), [("Cadd9", {0, 2, 4, 7}), ("Dadd9", {2, 4, 6, 9}), ("Cmadd9", {0, 2, 3, 7})]
)
def test_a_tone_that_is_added_to_a_chord_is_of_it_for_c_too_which_begins_like_the_cadential_six_four(symbol, tones):
    spelled = spell(symbol)
    assert spelled is not None
    assert (spelled.pitch_classes, spelled.symbol, spelled.numeral) == (tones, symbol, None)
    assert spell("Cad64").numeral == "V64-53"
