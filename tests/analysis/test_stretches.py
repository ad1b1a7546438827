"""What is known of each pitch class in a stretch that one chord may fill, and around it."""

from __future__ import annotations

import numpy as np
import pytest

from sitegen.analysis.harmony.beliefs import beliefs_of
from sitegen.analysis.harmony.contrasts import CONTRASTS, contrasts_of
from sitegen.analysis.harmony.evidence import JOINS, PAIRS, evidence_of
from sitegen.analysis.harmony.grid import grid_of
from sitegen.analysis.harmony.lattice import lattice_of, softened
from sitegen.analysis.harmony.motions import APART, KINDS, kind_of, motions_of
from sitegen.analysis.harmony.stretches import JOINED, OFF_SCALE, OUTSIDE, TONE_TABLES, stretches_of
from sitegen.analysis.harmony.weights import fitted
from tests.notation import score_of

C, D, E, F, G, A = 0, 2, 4, 5, 7, 9


def known(table: str, right: str, start: int, stop: int) -> np.ndarray:
    """The row of one table, by pitch class, for the stretch between two of the onsets of ``right``."""
    score = score_of(right=right)
    grid = grid_of(score)
    stretches = stretches_of(score, grid, evidence_of(score, grid))
    [row] = np.flatnonzero((stretches.start == start) & (stretches.stop == stop))
    return stretches.tones[row, TONE_TABLES.index(table)]


def test_a_tone_of_the_beat_before_is_still_in_the_ear():
    before = known("absent, heard before", "C4q E4q G4q A4q", 1, 2)
    assert np.flatnonzero(before).tolist() == [C]
    assert np.flatnonzero(known("absent, heard before", "C4q E4q G4q A4q", 2, 3)).tolist() == [E]


def test_a_tone_that_sounds_in_the_stretch_is_not_absent_whatever_comes_before():
    assert not known("absent, heard before", "C4q C4q G4q A4q", 1, 2).any()


def test_a_tone_of_the_beat_after_may_complete_a_chord_also_over_the_bar_line():
    assert np.flatnonzero(known("absent, heard after", "C4q E4q G4q A4q | F4w", 0, 1)).tolist() == [E]
    assert np.flatnonzero(known("absent, heard after", "C4q E4q G4q A4q | F4w", 3, 4)).tolist() == [F]


def test_absence_means_less_where_few_tones_sound():
    assert not known("absent among few", "C4+E4q G4q A4q F4q", 0, 1)[[C, E]].any()
    assert known("absent among few", "C4+E4q G4q A4q F4q", 0, 1)[[D, G]].all()
    assert not known("absent among few", "C4+E4+G4q G4q A4q F4q", 0, 1).any()


def test_the_share_of_the_bar_is_counted_inside_the_stretch_or_not():
    share = known("share of the bar", "C4h E4q C4q | G4w", 1, 2)
    assert share[C] == pytest.approx(0.75)
    assert share[E] == pytest.approx(0.25)
    assert share[G] == 0


def test_softened_readings_leave_rivals_more_of_a_chance():
    score = score_of(right="E4+G4+C5h F4+A4+C5h | D4+G4+B4h E4+G4+C5h", left="C3h F3h | G2h C3h")
    grid = grid_of(score)
    lattice = lattice_of(grid, stretches_of(score, grid, evidence_of(score, grid)), fitted().chords, fitted().mixtures)
    sure, less = (beliefs_of(one).chord.max(axis=1) for one in (lattice, softened(lattice, 0.5)))
    assert (less < sure).all()


def rows(right: str, metre: str = "4/4"):
    """The stretches of a score and, by them, their lengths in beats."""
    score = score_of(right=right, metre=metre)
    grid = grid_of(score)
    evidence = evidence_of(score, grid)
    return grid, evidence, stretches_of(score, grid, evidence)


def test_lengths_are_told_apart_up_to_four_beats():
    classes = {}
    for metre, bar in (("5/4", "C4e D4 E4q F4q G4q A4q"), ("4/4", "C4e D4 E4 F4 G4q A4q")):
        _, _, found = rows(bar, metre)
        classes |= dict(zip(found.beats.tolist(), found.length.tolist(), strict=True))
    assert classes == {0.5: 0, 1.0: 1, 1.5: 2, 2.0: 3, 2.5: 4, 3.0: 4, 3.5: 5, 4.0: 5, 4.5: 6, 5.0: 6}


def test_onsets_are_told_apart_one_by_one_up_to_four_then_to_six_eight_and_twelve():
    _, evidence, found = rows("C4e D4 E4 F4 G4 A4 B4 C5 D5 E5 F5 G5 A5 B5", "7/4")
    onsets = [int(evidence.moments[a:b].sum()) for a, b in zip(found.start, found.stop, strict=True)]
    classes = dict(zip(onsets, found.crowd.tolist(), strict=True))
    assert classes == {1: 1, 2: 2, 3: 3, 4: 4, 5: 5, 6: 5, 7: 6, 8: 6, 9: 7, 10: 7, 11: 7, 12: 7, 13: 8, 14: 8}
    _, _, silent = rows("C4q r r r")
    assert silent.crowd.min() == 1


def test_the_tone_that_is_absent_from_three_sounding_ones_is_not_absent_among_few():
    assert known("absent among few", "C4+E4q G4q A4q F4q", 0, 1)[G]
    assert not known("absent among few", "C4+E4+G4q D4q A4q F4q", 0, 1).any()


def test_keys_are_as_far_from_the_signature_as_their_own_signs():
    """D major under a signature of two sharps: itself, its relative, C major, E flat major and C minor."""
    score = score_of(right="D4+F#4+A4w", key=2)
    grid = grid_of(score)
    away = stretches_of(score, grid, evidence_of(score, grid)).signature[0]
    assert [away[key] for key in (D, 12 + 11, C, 3, 12 + C, 12 + 4)] == [0, 0, 2, 5, 5, 1]


def test_a_voice_rises_from_its_bass_and_falls_to_one_by_a_third():
    def moves(left: str) -> tuple[float, float]:
        score = score_of(right="C6w", left=left)
        grid = grid_of(score)
        table = contrasts_of(grid, evidence_of(score, grid))[1]
        names = ("lowest staff rises from its bass", "lowest staff falls to a bass")
        return tuple(table[CONTRASTS.index(name)] for name in names)

    assert moves("C3q Eb3 rh") == (1, 0)
    assert moves("C3q D3 rh") == (0, 0)
    assert moves("Eb3q C3 rh") == (0, 1)
    assert moves("D3q C3 rh") == (0, 0)


def test_a_chord_that_lasts_is_sought_sixteen_places_long_and_no_longer():
    grid = grid_of(score_of(right="C4e " * 34, metre="17/4"))
    assert np.flatnonzero(grid.joint).tolist() == [0, 16, 32]


def test_a_note_is_told_by_how_its_voice_comes_and_goes_and_across_a_rest_it_comes_from_nowhere():
    notes = score_of(right="C4q D4 D4 G4 | rq A4 B4q re G4e").notes
    before, after = motions_of(list(notes), 4)
    assert before == [APART, 2, 0, 5, APART, 2, -4]
    assert after == [2, 0, 5, APART, 2, -4, APART]
    kinds = [KINDS[kind_of(a, b)] for a, b in zip(before, after, strict=True)]
    assert kinds == ["leap-step", "step-same", "same-leap", "leap-leap", "leap-step", "step-leap", "leap-leap"]


def test_a_foreign_note_leads_by_step_to_a_tone_of_the_chord():
    score = score_of(right="D4q C4 C#4 D4 | E4 Eb4 rh")
    grid = grid_of(score)
    joined = evidence_of(score, grid).joined.sum(axis=0)[JOINS.index("resolves into it")]
    # a step down, two semitones up, a step up, and a semitone down
    assert {(PAIRS[k], joined[k]) for k in np.flatnonzero(joined)} == {
        ((2, 0), 1),
        ((0, 1), 1),
        ((1, 2), 1),
        ((2, 4), 1),
        ((4, 3), 1),
    }


def test_tones_are_spelled_on_the_line_of_fifths():
    score = score_of(right="F4+C4+G4+D5+A5+E5+B5w | F#4+Bb4+Ebb5w")
    evidence = evidence_of(score, grid_of(score))
    assert [evidence.fifths[0, pc] for pc in (5, 0, 7, 2, 9, 4, 11)] == [-1, 0, 1, 2, 3, 4, 5]
    assert [evidence.fifths[1, pc] for pc in (6, 10, 2)] == [6, -2, -10]


def test_a_note_is_of_the_chord_or_foreign_and_counts_as_one_if_it_leads_to_a_tone_of_the_chord():
    c_major = 0
    assert np.flatnonzero(OUTSIDE[:, c_major] == 0).tolist() == [C, E, G]
    assert sorted(set(OUTSIDE[:, c_major].tolist())) == [0, 1]
    leads = {PAIRS[k]: float(JOINED[k, c_major]) for k in range(len(PAIRS))}
    assert [leads[pair] for pair in ((D, C), (D, E), (F, E), (A, G))] == [1, 1, 1, 1]
    # a tone that leads elsewhere, a tone to a tone of its own, a foreign one to another
    assert [leads[pair] for pair in ((C, D), (E, F), (A, 11), (F, 6))] == [0, 0, 0, 0]


@pytest.mark.parametrize(
    ("key", "off"), [(C, [1, 3, 6, 8, 10]), (11, [0, 2, 5, 7, 9]), (12 + A, [1, 3, 10]), (12 + 11, [0, 3, 5])]
)
def test_five_notes_are_off_a_major_scale_and_three_off_a_minor_one_with_both_its_sixths_and_sevenths(key, off):
    """C and B major, A and B minor."""
    assert np.flatnonzero(OFF_SCALE[:, key]).tolist() == off
