"""The chords that can be heard: each as a musician spells it above C, and the scales of the keys."""

from __future__ import annotations

import numpy as np
import pytest

from sitegen.analysis.harmony.chords import CHORDS, INSIDE, KEYS, QUALITIES, SCALES, state_chords
from sitegen.analysis.harmony.lattice import DEGREE_OF, EXISTS, KNOWN, SAFE
from sitegen.analysis.harmony.pivots import heard_anew, pivots
from sitegen.analysis.harmony.weights import MODE_NAMES, MODES, MOTION_TABLE, RELATION, RELATIONS, SHAPES
from sitegen.fifths import fifths_of

SPELLED = {
    "major": "C E G",
    "minor": "C Eb G",
    "cadential major": "C E G",
    "cadential minor": "C Eb G",
    "diminished": "C Eb Gb",
    "augmented": "C E G#",
    "dominant seventh": "C E G Bb",
    "dominant ninth": "C D E G Bb",
    "dominant minor ninth": "C Db E G Bb",
    "augmented dominant seventh": "C E G# Bb",
    "minor seventh": "C Eb G Bb",
    "major seventh": "C E G B",
    "half-diminished seventh": "C Eb Gb Bb",
    "diminished seventh": "C Eb Gb Bbb",
    # rooted on the raised note: in E minor C E A#, C E G A#; in F# minor D F# G# B# stands on its G#
    "Italian sixth": "A# C E",
    "German sixth": "A# C E G",
    "French sixth": "G# B# D F#",
}


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda q: q.name)
def test_each_chord_is_spelled_as_a_musician_spells_it(quality):
    root, *_ = names = SPELLED[quality.name].split()
    above = tuple(fifths_of(name) - fifths_of(root) for name in names)
    assert quality.fifths == above
    assert quality.tones == tuple(7 * fifths % 12 for fifths in above)


def test_every_chord_stands_on_twelve_roots_and_holds_its_tones_there():
    assert len(CHORDS) == 12 * len(SPELLED)
    g_seventh = CHORDS.index(([q.name for q in QUALITIES].index("dominant seventh"), 7))
    assert INSIDE.shape == (12, len(CHORDS))
    assert np.flatnonzero(INSIDE[:, g_seventh]).tolist() == [2, 5, 7, 11]
    assert INSIDE.sum() == sum(12 * len(spelled.split()) for spelled in SPELLED.values())


def test_the_keys_are_twelve_major_and_twelve_minor_ones_with_both_sixths_and_sevenths():
    assert tuple((mode, tonic) for mode in (0, 1) for tonic in range(12)) == KEYS
    major, minor = "C D E F G A B", "C D Eb F G Ab A Bb B"
    assert [{7 * fifths_of(name) % 12 for name in scale.split()} for scale in (major, minor)] == [*map(set, SCALES)]


def test_each_degree_of_a_key_is_one_chord_and_is_found_again_by_it():
    """Degrees of F major and E minor, from the chord as it sounds to the degree and back."""
    states = state_chords()
    for key, mode in ((5, 0), (16, 1)):
        for place, degree in enumerate(MODES[mode]):
            assert CHORDS[states[key, place]] == (degree.quality, (key + degree.interval) % 12)
            assert DEGREE_OF[key, states[key, place]] == place
            assert KNOWN[key, states[key, place]]
    assert ((states >= 0) == EXISTS).all()
    assert (np.where(states >= 0, states, 0) == SAFE).all()


def test_what_is_heard_anew_keeps_its_chord_and_goes_to_the_keys_that_know_it():
    """Every degree of every key at once, each with a weight of its own, by how the two keys are related."""
    states = np.arange(1.0, EXISTS.size + 1).reshape(EXISTS.shape) * EXISTS
    related = 1.0 + RELATION
    heard = heard_anew(states.ravel(), pivots(related)).reshape(EXISTS.shape)
    by_chord = np.take_along_axis(states, DEGREE_OF, axis=1) * KNOWN
    for key in range(24):
        for degree, chord in enumerate(state_chords()[key]):
            assert heard[key, degree] == (related[:, key] @ by_chord[:, chord] if chord >= 0 else 0)


@pytest.mark.parametrize(
    ("other", "relation"),
    [
        ("C minor", "parallel"), ("A minor", "relative"), ("G major", "dominant"), ("F major", "subdominant"),
        ("E minor", "one sign, other mode"), ("D minor", "one sign, other mode"), ("D major", "two signs"),
        ("Bb major", "two signs"), ("Eb major", "three signs"), ("A major", "three signs"), ("E major", "farther"),
        ("F# major", "farther"), ("Bb minor", "farther"),
    ],
)  # fmt: skip
def test_how_other_keys_are_related_to_c_major(other, relation):
    name, mode = other.split()
    key = 12 * MODE_NAMES.index(mode) + 7 * fifths_of(name) % 12
    assert RELATIONS[RELATION[0, key]] == relation


def test_a_root_moves_by_one_of_twelve_intervals():
    """From V to I in major it rises by a fourth, from I to V by a fifth."""
    assert SHAPES["root moves by"] == (12,)
    assert set(MOTION_TABLE.flat) == set(range(12))
    names = [f"{degree.name} {QUALITIES[degree.quality].name}" for degree in MODES[0]]
    tonic, dominant = names.index("I major"), names.index("V major")
    assert (MOTION_TABLE[0, dominant, tonic], MOTION_TABLE[0, tonic, dominant]) == (5, 7)
