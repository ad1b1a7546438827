"""Tension: what listeners and textbooks call tense comes out higher."""

import math
from dataclasses import replace

import pytest

from sitegen.analysis.functions.finding import name_functions
from sitegen.analysis.tension.measuring import WEIGHTS, measure_tension, tension_at
from sitegen.analysis.tension.roughness import roughness_of_chord, roughness_of_interval
from sitegen.analysis.tension.tonal_space import distance_from_tonic
from tests.analysis.chords import chords_of, harmony
from tests.notation import score_of


def tensions(chords, key="C major", **music):
    score = score_of(**music)
    harmonies = chords_of(score, chords, key)
    return measure_tension(score, harmonies, name_functions(score, harmonies))


def values(*args, **kwargs):
    return [tension.value for tension in tensions(*args, **kwargs)]


def test_dominant_seventh_above_dominant_above_tonic():
    tonic, dominant, seventh = values(
        "C:1 G:1 G7:1", metre="3/4", right="E4+G4+C5q D4+G4+B4 D4+F4+B4", left="C3q G2 G2"
    )
    assert seventh > dominant > tonic


def test_the_same_in_minor():
    tonic, dominant, seventh = values(
        "Cm:1 G:1 G7:1", "C minor", metre="3/4", right="Eb4+G4+C5q D4+G4+B4 D4+F4+B4", left="C3q G2 G2"
    )
    assert seventh > dominant > tonic


def test_diminished_seventh_above_dominant_seventh():
    seventh, diminished = values("G7:2 Bdim7:2", right="D4+F4+G4h D4+F4+Ab4", left="B2h B2")
    assert diminished > seventh


def test_a_root_position_tonic_at_the_end_is_lowest():
    found = values(
        "C/E:1 F:1 G7:1 C/G:1 G7:2 C:2",
        right="E4+G4+C5q F4+A4+C5 F4+G4+B4 E4+G4+C5 | D4+F4+B4h E4+C5",
        left="E3q F3 G3 G3 | G2h C3",
    )
    assert min(found) == found[-1]
    assert found.count(found[-1]) == 1


def test_a_pedal_point_under_a_leading_note_chord_is_high():
    score = {"right": "E4+G4+C5h D4+F4+B4q E4+G4+C5", "left": "C3w"}
    tonic, diminished, _ = values("C:2 Bdim/C:1 C:1", **score)
    without = values("C:2 Bdim:1 C:1", right=score["right"], left="C3h B2q C3")[1]
    assert diminished > without > tonic
    assert dict(tensions("C:2 Bdim/C:1 C:1", **score)[1].parts)["foreign notes"] == pytest.approx(0.2, abs=1 / 1024)


def test_the_resolution_is_lower_than_its_appoggiatura():
    score = score_of(right="F5h E5", left="C3+G3+C4w")
    harmonies = chords_of(score, "C:4")
    readings = name_functions(score, harmonies)
    leaning, resolved = (tension_at(score, harmonies, readings, note.onset) for note in score.notes if note.staff == 1)
    assert leaning.value > resolved.value
    assert dict(resolved.parts)["foreign notes"] == 0


def test_a_harmony_with_an_appoggiatura_is_above_the_same_without():
    leaning = values("C:4", right="F5h E5", left="C3+G3+C4w")
    plain = values("C:4", right="E5w", left="C3+G3+C4w")
    assert leaning > plain


def test_a_tied_suspension_counts_while_it_is_held():
    found = tensions("F:2 C:2", right="C5q F5q~ F5q E5", left="F3h C3")
    assert dict(found[1].parts)["foreign notes"] == pytest.approx(WEIGHTS["foreign notes"] / 2, abs=1 / 1024)


def test_an_inversion_is_tenser_than_the_root_position():
    root, sixth = values("C:2 C/E:2", right="G4+C5h G4+C5", left="C3h E3")
    assert sixth > root


def test_parts_add_up_exactly_and_stay_between_0_and_1():
    for tension in tensions("C:1 Ab7:1 F#dim7:1 G7/F:1", right="C5q Gb5 A4 F#5", left="E2+F2+F#2w"):
        assert math.fsum(value for _, value in tension.parts) == tension.value
        assert 0 <= tension.value <= 1
        assert [name for name, _ in tension.parts] == list(WEIGHTS)


def test_no_harmony_has_no_tension():
    score = score_of(right="C5w")
    silent = (harmony("-", 0, score.end),)
    assert values("-:4", right="C5w") == [0]
    assert measure_tension(score, silent, name_functions(score, silent))[0].value == 0
    assert measure_tension(score, (), name_functions(score, ())) == ()


def test_a_moment_that_no_harmony_covers_is_refused():
    score = score_of(right="C5w")
    with pytest.raises(ValueError, match="no harmony covers"):
        tension_at(score, (), {}, 0)


def test_the_read_melody_decides_whose_foreign_notes_count():
    score = score_of(right="E5q F#5 E5h ; G4w", left="C3w")
    harmonies = chords_of(score, "C:4")
    readings = name_functions(score, harmonies)
    inner = {id_: replace(r, line="melody" if id_ == "G4" else "inner") for id_, r in readings.items()}
    upper, lower = (measure_tension(score, harmonies, r)[0].value for r in (readings, inner))
    assert upper > lower


@pytest.mark.parametrize(
    ("symbol", "expected"), [("C", 0), ("Dm", 8), ("Em", 7), ("F", 5), ("G", 5), ("Am", 7), ("Bdim", 8)]
)
def test_distances_are_those_of_tonal_pitch_space(symbol, expected):
    chord = harmony(symbol)
    assert distance_from_tonic(chord.pitch_classes, chord.root, "C major") == expected


def test_applied_chords_lie_in_the_region_of_their_goal():
    chord = harmony("D7")
    assert distance_from_tonic(chord.pitch_classes, chord.root, "C major", "V7/V") > distance_from_tonic(
        harmony("G7").pitch_classes, 7, "C major", "V7"
    )


def test_a_cadential_six_four_is_as_far_as_its_dominant():
    chord = harmony("C/G")
    assert distance_from_tonic(chord.pitch_classes, 0, "C major", "V64-53") == 5


def test_close_low_chords_are_rougher_than_the_same_higher():
    assert roughness_of_chord([36, 40, 43]) > roughness_of_chord([60, 64, 67])
    assert roughness_of_chord([60, 61]) > roughness_of_chord([60, 67]) > roughness_of_chord([60])


IN_MAJOR = {
    "Cm": 4, "Db": 14, "D": 10, "Ddim": 9, "Eb": 12, "E": 9, "Fm": 6, "F#dim7": 9, "G7": 6, "Gm": 7, "Ab": 14, "A": 11,
    "Bb": 10, "Bdim7": 10, "B": 11, "F#": 12, "Caug": 3, "Gaug": 8, "Cmaj7": 1, "Ebm": 14, "Abm": 15, "Ab7": 19,
}  # fmt: skip
IN_MINOR = {
    "C": 4, "Cm": 0, "Db": 11, "D": 11, "Dm": 9, "Ddim": 8, "Eb": 7, "E": 14, "Em": 13, "F": 6, "Fm": 5, "F#dim7": 8,
    "G": 5, "G7": 6, "Gm": 5, "Ab": 7, "A": 14, "Am": 13, "Bb": 8, "Bdim7": 9, "B": 12, "F#": 12, "Caug": 6, "Ebm": 11,
    "Abm": 8,
}  # fmt: skip


@pytest.mark.parametrize(("key", "distances"), [("C major", IN_MAJOR), ("C minor", IN_MINOR)])
def test_chromatic_chords_are_as_far_as_the_nearest_region_that_has_them(key, distances):
    """What the key's other mode lends lies near, a chord of no near key far: i = signs, j = fifths, k = new tones."""
    found = {symbol: harmony(symbol) for symbol in distances}
    assert {symbol: distance_from_tonic(c.pitch_classes, c.root, key) for symbol, c in found.items()} == distances


def test_the_parts_of_a_tension_are_half_distance_a_fifth_roughness_and_foreign_notes_a_tenth_inversion():
    """A sixth chord on the tonic; G7 over its seventh with C and E that do not belong to it; whole 1024ths."""
    music = {"right": "E4+G4+C5w", "left": "C3w"}
    [sixth], [seventh] = tensions("C/E:4", **music), tensions("G7/F:4", **music)
    assert dict(sixth.parts)["inversion"] == pytest.approx(0.1, abs=1 / 1024)
    assert dict(sixth.parts)["roughness"] == pytest.approx(0.2 * (1 - math.exp(-0.244)), abs=2 / 1024)
    assert dict(seventh.parts)["distance"] == 0.5 * 6 / 16
    assert dict(seventh.parts)["foreign notes"] == pytest.approx(0.2, abs=1 / 1024)
    assert [value * 1024 for _, value in (*sixth.parts, *seventh.parts)] == [0, 44, 102, 0, 192, 0, 102, 205]


@pytest.mark.parametrize(
    ("low", "high", "roughness"), [(60, 61, 0.598), (60, 64, 0.301), (60, 67, 0.106), (60, 72, 0.008), (36, 40, 0.906)]
)
def test_six_partials_of_two_tones_beat_against_each_other(low, high, roughness):
    assert roughness_of_interval(low, high) == pytest.approx(roughness, abs=1e-3)
