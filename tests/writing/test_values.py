"""Note values: divided as an engraver divides them, tied where they are divided, tuplets in their groups."""

from __future__ import annotations

import pytest

from sitegen.notation import write_stage
from tests.notation import score_of
from tests.writing.reading_back import faults_in_bars, read_bars, spelled, stage_of


def _written(right: str, metre: str = "4/4") -> str:
    score = score_of(right=right, metre=metre)
    text = write_stage(score, stage_of(score))
    assert faults_in_bars(text, score) == []
    return spelled(text)


def test_note_over_a_bar_line_is_two_tied_notes() -> None:
    assert _written("C5h. D5h E5h.") == "C5h. D5q~ | D5q E5h."


def test_note_over_two_bar_lines_is_three_tied_notes() -> None:
    assert _written("C5h. D5q~ D5w~ D5h E5h") == "C5h. D5q~ | D5w~ | D5h E5h"


def test_syncopation_within_half_a_bar_stays_one_note() -> None:
    assert _written("C5e D5q E5e F5h") == "C5e D5q E5e F5h"


def test_quarter_over_the_middle_of_the_bar_is_divided_there() -> None:
    assert _written("C5e D5q E5q F5q G5e") == "C5e D5q E5e~ E5e F5q G5e"


def test_half_note_on_the_second_beat_stays_one_note() -> None:
    assert _written("C5q D5h E5q") == "C5q D5h E5q"


def test_dotted_notes_against_the_metre_show_the_middle_of_the_bar() -> None:
    assert _written("C5q. D5q. E5q") == "C5q. D5e~ D5q E5q"


def test_five_quavers_are_a_half_and_a_quaver() -> None:
    assert _written("C5h~ C5e D5q.") == "C5h~ C5e D5q."


def test_double_dots_are_kept() -> None:
    assert _written("C5q.. D5s E5h") == "C5q.. D5s E5h"


@pytest.mark.parametrize(
    ("right", "written"),
    [
        ("C5h~ C5e D5e", "C5q.~ C5q D5e"),
        ("C5h D5q", "C5q.~ C5e D5q"),
        ("C5h.", "C5h."),
        ("C5q D5e E5e F5q", "C5q D5e E5e F5q"),
        ("C5q D5q E5q", "C5q D5e~ D5e E5q"),
    ],
)
def test_six_eight_shows_its_two_beats(right: str, written: str) -> None:
    assert _written(right, "6/8") == written


def test_twelve_eight_shows_its_beats_and_its_middle() -> None:
    assert _written("C5q. D5h. E5q.", "12/8") == "C5q. D5h. E5q."
    assert _written("C5h~ C5e D5h.. ", "12/8") == "C5q.~ C5q D5e~ D5h."


def test_three_four_keeps_a_half_note_on_any_beat() -> None:
    assert _written("C5q D5h E5h F5q", "3/4") == "C5q D5h | E5h F5q"


def test_a_bar_of_five_beats_is_filled_by_tied_notes() -> None:
    assert _written("C5w~ C5q D5h~ D5h.", "5/4") == "C5w~ C5q | D5w~ D5q"


def test_three_quavers_in_the_time_of_two_are_a_group() -> None:
    assert _written("C5e3 D5 E5 F5q G5h") == "[C5e3 D5e3 E5e3] F5q G5h"


def test_a_triplet_of_long_and_short_is_one_group() -> None:
    assert _written("C5q3 D5e3 E5q3 F5e3 G5h") == "[C5q3 D5e3] [E5q3 F5e3] G5h"


def test_rests_belong_to_their_triplet() -> None:
    assert _written("re3 C5 re3 D5q E5h") == "[re3 C5e3 re3] D5q E5h"


def test_triplet_of_quarters_fills_two_beats() -> None:
    assert _written("C5q3 D5 E5 F5h") == "[C5q3 D5q3 E5q3] F5h"


def test_a_note_held_into_a_triplet_is_tied_to_its_first_value() -> None:
    assert _written("C5h~ C5e3 D5 E5 F5q") == "C5h~ [C5e3 D5e3 E5e3] F5q"


def _beams(right: str, metre: str = "4/4") -> str:
    """The first level of beams: ``(`` where one begins, ``)`` where it ends, ``-`` under it, ``.`` without."""
    score = score_of(right=right, metre=metre)
    signs = {"begin": "(", "end": ")", "continue": "-"}
    events = read_bars(write_stage(score, stage_of(score)))[0].events
    return "".join(signs[e.beams[0]] if e.beams else "." for e in events)


def test_quavers_are_beamed_by_the_beat() -> None:
    assert _beams("C5e D5 E5 F5 G5q A5e B5") == "()().()"
    assert _beams("C5e D5 E5 F5 G5 A5", "6/8") == "(-)(-)"
    assert _beams("C5e D5 E5 F5 G5 A5", "3/4") == "()()()"


def test_beam_does_not_run_out_of_a_triplet() -> None:
    assert _beams("re3 re3 C5 D5e", "3/8") == "..."
    assert _beams("C5e3 D5 E5 F5e", "3/8") == "(--)", "a triplet that it holds whole may stand under it"
    assert _beams("C5e3 D5 E5 F5e3 G5 A5 B5h") == "(-)(-)."


def test_stubs_point_into_their_beat() -> None:
    score = score_of(right="C5e. D5s E5q F5h")
    assert [e.beams for e in read_bars(write_stage(score, stage_of(score)))[0].events][:2] == [
        ("begin",),
        ("end", "backward hook"),
    ]


def test_the_second_and_third_part_of_a_dotted_beat_are_two_rests() -> None:
    assert _written("C5e rq D5q re", "6/8") == "C5e re re D5q re"
    assert _written("rq C5e D5q.", "6/8") == "rq C5e D5q."
