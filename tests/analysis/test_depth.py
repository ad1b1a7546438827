"""Depth keeps the notes that a musician keeps when a tune is thinned."""

import pytest

from sitegen.analysis.depth.ranking import OUTSIDE, rank_depths
from sitegen.analysis.nouns import Harmony, NoteReading
from tests.notation import score_of


def depths_of(score, harmonies=(), readings=None):
    chain = tuple(note.id for note in score.notes if not note.grace)
    return rank_depths(score, harmonies, readings or {}, [("melody", chain)])


def deepest(depths, count):
    return set(sorted(depths, key=depths.get, reverse=True)[:count])


def test_the_last_tonic_is_the_deepest_note():
    score = score_of(right="C5q E5 G5 F5 | E5 D5 C5 D5 | E5 F5 D5 B4 | C5w")
    assert deepest(depths_of(score), 1) == {"C5.3"}


def test_strong_beats_are_deeper_than_passing_eighths():
    score = score_of(right="C5e D5 E5 F5 G5 A5 B5 A5 | G5 F5 E5 D5 C5 B4 C5q")
    depths = depths_of(score)
    assert depths["C5"] > depths["D5"]
    assert depths["G5"] > depths["F5"]
    assert {"C5", "G5.2", "C5.3"} <= deepest(depths, 5)


def test_a_long_note_off_the_bar_line_outlasts_short_ones_beside_it():
    depths = depths_of(score_of(right="C5e D5 E5h. | F5e E5 D5h. | E5e D5 C5h."))
    assert depths["E5"] > depths["D5"]
    assert depths["D5.2"] > depths["E5.2"]


def test_an_upbeat_is_less_deep_than_the_note_it_leads_to():
    depths = depths_of(score_of(right="G4e | C5q. C5e | D5q. D5e | E5q. E5e | C5q.", metre="4/8"))
    assert depths["G4"] < depths["C5"]


def test_a_chord_tone_is_deeper_than_a_foreign_note_on_the_same_beat_of_the_next_bar():
    score = score_of(right="E5q E5 E5 E5 | E5 E5 E5 E5", left="C3w | C3w")
    lines = [
        (name, tuple(n.id for n in score.notes if n.staff == staff)) for name, staff in (("melody", 1), ("bass", 2))
    ]
    c_major = frozenset({0, 4, 7})
    half = score.end // 2
    harmonies = (Harmony(0, half, c_major), Harmony(half, half, c_major))
    plain = {n.id: NoteReading("chord tone") for n in score.notes}
    foreign = plain | {"E5.3": NoteReading("appoggiatura")}
    with_foreign, without = (rank_depths(score, harmonies, readings, lines)["E5.3"] for readings in (foreign, plain))
    assert with_foreign < without


def test_a_line_alone_is_read_by_its_signature_whatever_harmony_is_heard_in_it():
    score = score_of(right="C5q E5 G5 F5 | E5 D5 C5 D5 | E5 F5 D5 B4 | C5w")
    misheard = (Harmony(0, score.end, frozenset({9, 0, 4}), key="A minor"),)
    assert depths_of(score, misheard) == depths_of(score)


def test_of_two_heads_a_step_apart_the_resolution_is_deeper_than_over_a_third():
    resolved, leaping = (depths_of(score_of(right=f"{first}q C5 | C5w", metre="4/4")) for first in ("D5", "E5"))
    assert resolved["C5"] > leaping["C5"]


def test_notes_in_no_line_and_graces_lie_below_the_line():
    score = score_of(right="D5g C5q E5 G5 E5 | C5w", left="C3w C3w")
    line = tuple(n.id for n in score.notes if n.staff == 1 and not n.grace)
    depths = rank_depths(score, (), {}, [("melody", line)])
    assert depths["C3"] == OUTSIDE
    assert depths["D5"] < depths["C3"] < min(depths[name] for name in line)
    assert set(depths) == {n.id for n in score.notes}


@pytest.mark.parametrize("text", ["C5w", "C5g D5w", "rw"])
def test_a_line_of_one_note_or_none_has_depths_too(text):
    score = score_of(right=text)
    assert len(depths_of(score)) == len(score.notes)


def test_in_a_long_line_of_equal_notes_only_the_metre_speaks():
    score = score_of(right=" ".join(["C5s"] * 800))
    depths = depths_of(score)
    before = {a.id: b.id for a, b in zip(score.notes[1:], score.notes[:-1], strict=True)}
    downbeats = [n.id for n in score.notes[1:] if n.onset == score.bar_at(n.onset).onset]
    assert all(depths[name] > depths[before[name]] for name in downbeats)


TUNE = (
    "G4q( | C5q) E5e( D5) C5q G4 | A4q.( B4e C5q) A4 | G4q E5e( D5 C5q D5) | E5h. rq "
    "| F5q.( E5e) D5q C5 | B4e( C5 D5 E5) D5q G4 | C5e D5 E5 F5 G5q B4 | C5h."
)


def test_a_tune_of_eight_bars_is_thinned_as_the_fitted_weights_say():
    """The last tonic is deepest, then the first, the dominant's third in bar 5 and the half cadence before it."""
    depths = depths_of(score_of(right=TUNE))
    assert " ".join(sorted(depths, key=depths.get, reverse=True)[:8]) == "C5.8 C5 F5 E5.3 G4.3 C5.2 A4 C5.4"
    assert list(depths.values()) == pytest.approx(
        [
            0.333, 3.478, -0.164, -0.688, 1.441, 0.089, 1.378, -0.962, 1.279, 0.145, 2.055, -0.01, -0.711, 1.35, 0.386,
            2.365, 2.627, -0.987, 0.567, 0.618, 1.326, -0.815, -0.23, -0.64, 1.319, 0.232, 1.24, -0.806, -0.192, -0.681,
            0.999, 0.102, 4.732,
        ],
        abs=1e-3,
    )  # fmt: skip


def test_the_five_likeliest_heads_of_a_span_are_followed():
    """Twenty-four equal notes, which nothing but the metre tells apart: first and last are deepest."""
    depths = list(depths_of(score_of(right="C5e " * 24)).values())
    assert (depths[0], depths[8], depths[23]) == pytest.approx((3.192, 1.480, 1.918), abs=1e-3)


@pytest.mark.parametrize(
    ("notes", "value", "beginnings"),
    [
        ("E5 E5 G5 B5 F5 G5 F5 C5 D5", "q", (3.949, 1.104, 2.072, 1.347, 1.787)),
        ("C5 E5 E5 E5 B5 G5 C5 A5 E5", "e", (4.226, -0.888, -0.02, -0.726, 0.756)),
    ],
)
def test_a_sequence_across_the_bars_is_sought_at_the_eight_likeliest_places(notes, value, beginnings):
    """Nine notes five times over, in bars of four or eight: how deep each beginning is."""
    names = notes.split() * 5
    depths = depths_of(score_of(right=" ".join(f"{name}{value}" for name in names)))
    assert list(depths.values())[::9] == pytest.approx(beginnings, abs=2e-3)


def test_what_is_in_no_line_lies_below_a_grace_note_s_length():
    """A note in no line is as deep as a span of a 256th of a quarter: no line of notes reaches so low."""
    score = score_of(right="D5g C5q", left="C3q")
    depths = rank_depths(score, (), {}, [("melody", ("C5",))])
    assert (depths["C3"], depths["D5"]) == (-8, -9)
