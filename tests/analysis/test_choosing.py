"""From how sure each reading is to the chord and the key that are given."""

from __future__ import annotations

import numpy as np

from sitegen.analysis.harmony.beliefs import Beliefs
from sitegen.analysis.harmony.choosing import choose_chords, choose_keys
from sitegen.analysis.harmony.chords import CHORDS, QUALITIES, WIDTH

NAMES = [quality.name for quality in QUALITIES]


def chord(quality: str, root: int) -> int:
    return CHORDS.index((NAMES.index(quality), root))


C, C_MINOR, A_MINOR, F_SHARP, G = (
    chord("major", 0), chord("minor", 0), chord("minor", 9), chord("major", 6), chord("major", 7)
)  # fmt: skip


def chosen(*rows: dict[int, float], change: float = 0.0, beats: tuple[float, ...] = ()) -> list[int]:
    """The chords chosen, one for each row of beliefs; each lasts a beat, and may change with so much belief."""
    belief = np.zeros((len(rows), len(CHORDS)))
    for row, values in enumerate(rows):
        belief[row, list(values)] = list(values.values())
    beliefs = Beliefs(belief, np.zeros((len(rows), 24, WIDTH)), np.full(len(rows), change))
    return choose_chords(beliefs, np.array(beats or [1.0] * len(rows))).tolist()


def test_a_change_that_is_not_half_believed_must_be_earned_by_its_chords():
    """Between two chords without a common tone, each three to two in its beat, a fifth of a beat is gained."""
    first, second = {C: 0.6, F_SHARP: 0.4}, {C: 0.4, F_SHARP: 0.6}
    assert chosen(first, second, change=0.3) == [C, F_SHARP]
    assert chosen(first, second, change=0.2) in ([C, C], [F_SHARP, F_SHARP])


def test_a_chord_is_believed_for_another_on_its_root_by_a_third_or_so():
    assert chosen({C: 0.3, C_MINOR: 0.3, F_SHARP: 0.40}) != [F_SHARP]
    assert chosen({C: 0.3, C_MINOR: 0.3, F_SHARP: 0.42}) == [F_SHARP]


def test_tones_in_common_alone_count_for_little():
    assert chosen({C: 0.3, A_MINOR: 0.3, F_SHARP: 0.315}) != [F_SHARP]
    assert chosen({C: 0.3, A_MINOR: 0.3, F_SHARP: 0.33}) == [F_SHARP]


def test_a_change_of_key_is_earned_by_a_beat_of_belief():
    """G major, a chord of both keys, all along; believed in C major first, then in G major."""
    state = np.zeros((2, 24, WIDTH))
    state[0, 0, 0] = state[1, 7, 0] = 1.0
    beliefs = Beliefs(np.zeros((2, len(CHORDS))), state, np.zeros(2))
    keys = [choose_keys(beliefs, np.array([G, G]), np.array([4.0, beats])).tolist() for beats in (0.75, 1.5)]
    assert keys == [[0, 0], [0, 7]]
