"""Odd scores: a sensible analysis or a plain 'no harmony found here', never an invented one, never a crash."""

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitegen.analysis import analyse, describe
from sitegen.analysis.describing import NO_HARMONY
from sitegen.score import Score, read_score
from tests.notation import score_of

SHARED = Path(__file__).parents[2].parent / "shared"
SAMPLE = [
    "scores/beethoven-sonata20-2.krn",
    "scores/grieg-op43-4.mei",
    "scores/scriabin-etudes-op-8-11.mxl",
    "harmony/pieces/song-012/score.mxl",
    "harmony/pieces/wtc1-prelude-05/score.mxl",
]


def whole(score):
    """The analysis, after checking what must hold for any score at all."""
    found = analyse(score)
    assert set(found.notes) == {note.id for note in score.notes}
    assert len(found.tension) == len(found.harmonies)
    if score.end:
        assert found.harmonies[0].onset == 0
        assert found.harmonies[-1].end == score.end
    assert all(first.end == second.onset for first, second in pairwise(found.harmonies))
    assert all(harmony.duration > 0 for harmony in found.harmonies)
    assert all((tension.value == sum(v for _, v in tension.parts)) for tension in found.tension)
    for harmony in found.harmonies:
        if not harmony.pitch_classes:
            assert (harmony.bass, harmony.root, harmony.numeral, harmony.symbol) == (None, None, None, None)
    assert describe(score, found).endswith("\n")
    return found


def test_a_score_without_bars_has_no_harmonies():
    empty = Score(1, (), (), ())
    assert whole(empty).harmonies == ()
    assert NO_HARMONY in describe(empty, analyse(empty))


def test_a_bar_of_rest_has_no_harmony():
    rest = score_of(right="rw", left="rw")
    assert [h.pitch_classes for h in whole(rest).harmonies] == [frozenset()]
    assert f"Keys: {NO_HARMONY}" in describe(rest, analyse(rest))


def test_one_note_is_not_called_what_it_is_not():
    score = score_of(right="E4w")
    found = whole(score)
    harmony = found.harmonies[0]
    assert not harmony.pitch_classes or 4 in harmony.pitch_classes
    assert found.notes["E4"].function in ("chord tone", "free")


def test_grace_notes_alone_are_ornaments():
    assert {reading.function for reading in whole(score_of(right="E4g D4g rw")).notes.values()} == {"ornament"}


def test_a_twelve_tone_row_is_analysed_without_a_gap():
    row = "C4q F#4 G4 C#5 | Bb4 E4 D#4 A4 | B3 D5 Ab4 F4"
    found = whole(score_of(right=row, left="Eb3q A2 B2 D3 | F3 G#2 C3 F#3 | C#3 E3 G2 Bb3"))
    assert len(found.notes) == 24


def test_unpitched_percussion_has_no_harmony(tmp_path):
    drums = tmp_path / "drums.musicxml"
    drums.write_text(
        """<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Drums</part-name></score-part>
        </part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>2</beats>
        <beat-type>4</beat-type></time><clef><sign>percussion</sign></clef></attributes>
        <note><unpitched><display-step>E</display-step><display-octave>4</display-octave></unpitched>
        <duration>1</duration><voice>1</voice><type>quarter</type></note><note><unpitched><display-step>E</display-step>
        <display-octave>4</display-octave></unpitched><duration>1</duration><voice>1</voice><type>quarter</type></note>
        </measure></part></score-partwise>"""
    )
    assert [harmony.pitch_classes for harmony in whole(read_score(drums)).harmonies] == [frozenset()]


NOTES = st.lists(
    st.sampled_from(["C5q", "F#4s", "Bb3e", "Ebb4q.", "rq", "C4+C#4+D4e", "B##4e3", "D5g", "G3h~ G3q", "A2w"]),
    min_size=1, max_size=15,
)  # fmt: skip


@settings(deadline=None, max_examples=25)
@given(NOTES, NOTES, st.sampled_from(["4/4", "3/8", "6/8", "5/4", "2/2"]))
def test_any_notes_are_analysed_whole(right, left, metre):
    whole(score_of(right=" ".join(right), left=" ".join(left), metre=metre))


@pytest.mark.skipif(not SHARED.is_dir(), reason="the real scores of ../shared are not here")
@pytest.mark.parametrize("name", SAMPLE)
def test_real_scores_are_analysed_whole(name):
    assert any(harmony.numeral for harmony in whole(read_score(SHARED / name)).harmonies)
