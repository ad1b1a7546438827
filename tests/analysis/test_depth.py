"""Depth keeps the notes that a musician keeps when a tune is thinned."""

import pytest

from sitegen.analysis.depth import OUTSIDE, rank_depths
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
