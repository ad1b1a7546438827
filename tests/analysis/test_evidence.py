"""What the notes say of each chord, counted by how a note is approached and left."""

from __future__ import annotations

import numpy as np

from sitegen.analysis.harmony.evidence import BY_MOTION, CLASSES, JOINS, PAIRS, evidence_of
from sitegen.analysis.harmony.grid import grid_of
from tests.notation import score_of


def test_notes_are_counted_by_accent_and_motion_and_those_of_the_bass_again():
    assert CLASSES[:BY_MOTION] == tuple(name for name in CLASSES if "bass" not in name)
    assert len(CLASSES) == BY_MOTION + 2
    count = evidence_of(score := score_of(right="C4q D4e E4"), grid_of(score)).count.sum(axis=(0, 1))
    assert {CLASSES[k]: n for k, n in enumerate(count) if n} == {
        "accented leap-step": 1, "accented step-step": 1, "unaccented step-leap": 1,
        "bass accented": 2, "bass unaccented": 1,
    }  # fmt: skip


def test_each_step_leads_from_one_pitch_class_to_its_neighbour():
    names = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"]
    for one, other in (("E", "D"), ("E", "Eb"), ("Eb", "E"), ("D", "E")):
        score = score_of(right=f"{one}4q {other}4")
        joined = evidence_of(score, grid_of(score)).joined.sum(axis=0)
        pairs = [PAIRS[k] for k in np.flatnonzero(joined[JOINS.index("resolves into it")])]
        assert pairs == [(names.index(one), names.index(other))]
        came = [PAIRS[k] for k in np.flatnonzero(joined[JOINS.index("comes from it")])]
        assert came == [(names.index(other), names.index(one))]
    assert len(set(PAIRS)) == 48
    assert {(other - one) % 12 for one, other in PAIRS} == {10, 11, 1, 2}
    assert {pc for pair in PAIRS for pc in pair} == set(range(12))
