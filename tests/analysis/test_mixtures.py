"""What cues say together, and what is known of the tones around a stretch."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from sitegen.analysis.harmony.chords import CHORDS, QUALITIES
from sitegen.analysis.harmony.evidence import evidence_of
from sitegen.analysis.harmony.grid import grid_of
from sitegen.analysis.harmony.mixtures import (
    CUES,
    Mixtures,
    gathered_from_roots,
    mixed,
    mixtures_from_named,
    mixtures_named,
    spread_over_roots,
)
from sitegen.analysis.harmony.stretches import CROWD_NAMES, LENGTH_NAMES, Stretches, stretches_of
from sitegen.analysis.harmony.surroundings import SURROUNDINGS
from tests.notation import score_of

C, D, E, F, G, A, B = 0, 2, 4, 5, 7, 9, 11
MAJOR = next(place for place, quality in enumerate(QUALITIES) if quality.name == "major")


def stretches_in(right: str, left: str = "") -> Stretches:
    score = score_of(right=right, left=left) if left else score_of(right=right)
    grid = grid_of(score)
    return stretches_of(score, grid, evidence_of(score, grid))


def around(cue: str, right: str, start: int, stop: int) -> list[float]:
    """One table of the tones around, by pitch class, for the stretch between two of the onsets of ``right``."""
    stretches = stretches_in(right)
    [row] = np.flatnonzero((stretches.start == start) & (stretches.stop == stop))
    return stretches.around[row, SURROUNDINGS.index(cue)].round(3).tolist()


def only(**shares: float) -> list[float]:
    """By pitch class: the shares given by name of the note, else nothing."""
    places = {"C": C, "D": D, "E": E, "F": F, "G": G, "A": A, "B": B}
    return [next((share for name, share in shares.items() if places[name] == pc), 0.0) for pc in range(12)]


def one_mixture(**tables: np.ndarray | float) -> Mixtures:
    """A mixture that weighs nothing but what is given."""
    sizes = {
        "cues": (len(CUES), 12, 1), "length": (len(LENGTH_NAMES), 1), "crowd": (len(CROWD_NAMES), 1), "starts": (5, 1),
        "stops": (5, 1), "always": (1,), "speaks": (1, len(QUALITIES)),
    }  # fmt: skip
    return Mixtures(**{name: np.zeros(size) + tables.get(name, 0.0) for name, size in sizes.items()})


def test_the_beats_around_are_known_by_the_share_that_each_tone_has_of_them():
    assert around("beat before", "C4e D4 E4q F4q G4q", 2, 3) == only(C=0.5, D=0.5)
    assert around("beat after", "C4q D4q E4e F4 G4q", 1, 2) == only(E=0.5, F=0.5)
    assert around("beat before", "C4q D4q E4q F4q", 0, 1) == only()


def test_a_tone_that_passes_is_told_from_one_that_is_leapt_from():
    scale = "C4q D4 E4 C5"
    assert around("passing", scale, 0, 4) == only(D=0.25)
    assert around("left by leap", scale, 2, 3) == only(E=1)
    assert around("left by step", scale, 0, 2) == only(C=0.5, D=0.5)


def test_what_is_struck_on_the_beat_is_accented():
    assert around("accented", "C4e D4 E4q F4h", 0, 3) == only(C=0.25, E=0.5)


def test_a_mixture_speaks_for_a_chord_only_where_its_sum_is_above_nothing():
    """A third that is heard and a fifth that is: either alone is not enough for this mixture."""
    cues = np.zeros((len(CUES), 12, 1))
    cues[CUES.index("share"), [4, 7]] = 1
    speaks = np.zeros((1, len(QUALITIES)))
    speaks[0, MAJOR] = 2
    mixture = one_mixture(cues=cues, always=-1.5, speaks=speaks)
    both = mixed(stretches_in("C4+E4+G4w"), mixture)[0]
    assert {CHORDS[place]: both[place] for place in np.flatnonzero(both)} == {(MAJOR, C): pytest.approx(1.0)}
    assert not mixed(stretches_in("C4+E4w"), mixture).any()


def test_how_long_a_stretch_is_and_where_it_lies_may_be_part_of_a_mixture():
    starts = np.zeros((5, 1))
    starts[1] = 1
    speaks = np.ones((1, len(QUALITIES)))
    stretches = stretches_in("C4q D4 E4 F4")
    added = mixed(stretches, one_mixture(starts=starts, speaks=speaks))
    assert (added.max(axis=1) == (stretches.start == 2)).all()


def test_mixtures_hear_the_same_in_every_key():
    generator = np.random.default_rng(3)
    mixtures = one_mixture(
        cues=generator.normal(size=(len(CUES), 12, 1)), speaks=generator.normal(size=(1, len(QUALITIES)))
    )
    in_c, in_d = (
        mixed(stretches_in(right, left), mixtures)
        for right, left in (("E4q G4 F4 D4", "C3h G2h"), ("F#4q A4 G4 E4", "D3h A2h"))
    )
    by_root = (table.reshape(len(table), len(QUALITIES), 12) for table in (in_c, in_d))
    first, second = by_root
    assert np.allclose(np.roll(first, 2, axis=2), second)


def test_no_mixtures_add_nothing():
    sizes = {field.name: (0,) * (3 if field.name == "cues" else 1 if field.name == "always" else 2)
             for field in fields(Mixtures)}  # fmt: skip
    assert not mixed(stretches_in("C4w"), Mixtures(**{name: np.zeros(size) for name, size in sizes.items()})).any()


def test_weights_gathered_from_roots_are_the_transpose_of_weights_spread_over_them():
    generator = np.random.default_rng(5)
    cues = generator.normal(size=(len(CUES), 12, 2))
    table = generator.normal(size=(12 * len(CUES), 24))
    assert (spread_over_roots(cues) * table).sum() == pytest.approx((cues * gathered_from_roots(table)).sum())


def test_mixtures_are_written_by_name_and_read_again():
    generator = np.random.default_rng(7)
    mixtures = one_mixture(cues=generator.normal(size=(len(CUES), 12, 1)).round(3), always=0.25)
    again = mixtures_from_named(mixtures_named(mixtures))
    for field in fields(Mixtures):
        assert np.array_equal(getattr(mixtures, field.name), getattr(again, field.name))
