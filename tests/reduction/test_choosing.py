"""Which of the rungs that were tried become stages."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.reduction.ladder.choosing import Draft, choose
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.techniques.rung_order import ladders
from sitegen.reduction.techniques.rungs import Rung
from sitegen.score import Pitch

BARS = 12


def draft(name: str, octaves: str, optional: bool = False, **more) -> Draft:
    """One note a bar; each digit is the octave of its C, a ``-`` a bar without one."""
    notes = tuple(
        StageNote(f"{name}{k}", 4 * k, 4, Pitch("C", 0, int(octave)), 1, (f"s{k}",))
        for k, octave in enumerate(octaves)
        if octave != "-"
    )
    return Draft(Rung(name, optional, **more), (name,), notes, bar_of=lambda tick: tick // 4)


def chosen(*drafts: Draft) -> list[str]:
    return [d.rung.technique + "*" * d.rung.side for d in choose(drafts)]


BASS = draft("bass", "2" * BARS)
END = draft("end", "6" * BARS)


def test_a_stage_alike_in_more_than_two_thirds_of_the_bars_is_dropped():
    simple = draft("simple", "4" * BARS)
    assert chosen(BASS, simple, draft("leaning", "555444444444", True), END) == ["bass", "simple", "end"]
    assert chosen(BASS, simple, draft("leaning", "555544444444", True), END) == ["bass", "simple", "leaning", "end"]


def test_of_two_alike_the_less_optional_stays_and_else_the_first():
    one, other = draft("one", "4" * BARS, True), draft("other", "444444444445")
    assert chosen(BASS, one, other, END) == ["bass", "other", "end"]
    assert chosen(BASS, draft("one", "4" * BARS), other, END) == ["bass", "one", "end"]


def test_what_is_like_the_score_gives_way_to_it():
    assert chosen(BASS, draft("complete", "666666666644"), END) == ["bass", "end"]


def test_leaning_notes_in_a_few_bars_are_a_side_study():
    simple = draft("simple", "4" * BARS)
    assert chosen(BASS, simple, draft("leaning", "544444444445", True, else_aside=True), END) == [
        "bass", "simple", "leaning*", "end",
    ]  # fmt: skip
    assert chosen(BASS, simple, draft("leaning", "544444444444", True, else_aside=True), END) == [
        "bass", "simple", "end",
    ]  # fmt: skip


def test_a_side_study_of_leaning_notes_is_not_the_score_again():
    assert chosen(BASS, draft("leaning", "6" * BARS, True, else_aside=True), END) == ["bass", "end"]


def test_what_the_teacher_names_stays():
    simple = draft("simple", "4" * BARS)
    assert chosen(BASS, simple, draft("leaning", "544444444444", named=True), END) == ["bass", "leaning", "end"]
    assert chosen(BASS, draft("complete", "6" * BARS, named=True), END) == ["bass", "complete", "end"]
    both = draft("simple", "4" * BARS, named=True), draft("leaning", "544444444444", named=True)
    assert chosen(BASS, *both, END) == ["bass", "simple", "leaning", "end"]


@pytest.mark.parametrize(
    ("ladder", "leaning", "complete", "others", "stay"),
    [
        ("melody", "5" * BARS, "555555555554", {}, "bass line, leaning notes*, complete melody over blocked chords"),
        ("figuration", "5" * BARS, "555555555554", {}, "bass line, leaning notes"),
        (
            "figuration",
            "4" * BARS,
            "5" * BARS,
            {"blocked chords at every turn": "555555555554"},
            "bass line, leaning notes, blocked chords at every turn",
        ),
    ],
)
def test_which_stage_of_a_ladder_gives_way_to_one_like_it(ladder, leaning, complete, others, stay):
    """Under a figure that has the tune within it the complete tune can be spared as well as the leaning notes."""
    octaves = {"bass line": "2" * BARS, "leaning notes": leaning, "complete melody over blocked chords": complete}
    octaves |= others
    tried = [
        replace(draft(rung.technique, octaves[rung.technique]), rung=rung)
        for rung in ladders()[ladder]
        if rung.technique in octaves
    ]
    assert ", ".join(chosen(*tried, END)) == f"{stay}, end"


def test_there_are_seven_stages_at_most():
    """Of those that are optional the one goes that adds least."""
    ladder = [draft(str(k), str(k) * BARS, k in (2, 4)) for k in range(1, 9)]
    assert chosen(*ladder) == ["1", "3", "4", "5", "6", "7", "8"]
    assert chosen(*ladder[:7]) == ["1", "2", "3", "4", "5", "6", "7"]


def test_a_rhythm_of_one_value_is_no_study():
    even = draft("rhythm on one pitch", "4" * BARS, side=True)
    assert chosen(BASS, even, END) == ["bass", "end"]
    uneven = Draft(even.rung, even.techniques, (*even.notes[:9], *draft("x", "---------" + "5" * 3).notes))
    longer = tuple(
        StageNote(n.id, n.onset, 2 if k > 8 else 4, n.pitch, n.staff, n.sources) for k, n in enumerate(uneven.notes)
    )
    assert chosen(BASS, Draft(even.rung, even.techniques, longer, bar_of=even.bar_of), END) == [
        "bass", "rhythm on one pitch*", "end",
    ]  # fmt: skip


def test_an_inner_line_that_hardly_moves_is_no_study():
    def inner(octaves):
        return draft("inner line alone", octaves, side=True)

    assert chosen(BASS, inner("3" * BARS), END) == ["bass", "end"]
    assert chosen(BASS, inner("333344444333"), END) == ["bass", "end"]
    assert chosen(BASS, inner("343434333333"), END) == ["bass", "inner line alone*", "end"]
