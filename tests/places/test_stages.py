"""A stage by its lasting name, its title, its technique."""

from __future__ import annotations

import pytest

from sitegen.errors import ContentError
from sitegen.places.stages import StageName, find_stage

LADDER = (
    StageName("bass-line", ("Basslinie", "Bass line"), ("bass line",)),
    StageName(
        "simple-tune-over-blocked-chords", ("Hands in place",), ("simple tune over blocked chords", "blocked chords")
    ),
    StageName("outer-voices-bars-1-8", ("Outer voices",), ("outer voices",)),
    StageName("outer-voices-bars-9-16", ("Outer voices",), ("outer voices",)),
    StageName("as-written", ("As written",), ("as written",)),
)  # fmt: skip


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("bass-line", "bass-line"),
        ("bass line", "bass-line"),
        ("Bass Line", "bass-line"),
        ("BASSLINIE", "bass-line"),
        ("hands in place", "simple-tune-over-blocked-chords"),
        ("Hands-in-place", "simple-tune-over-blocked-chords"),
        ("blocked chords", "simple-tune-over-blocked-chords"),
        ("blocked-chords", "simple-tune-over-blocked-chords"),
        ("Simple tune over blocked chords", "simple-tune-over-blocked-chords"),
        ("outer voices, bars 9-16", "outer-voices-bars-9-16"),
        ("outer-voices-bars-1-8", "outer-voices-bars-1-8"),
        ("as written", "as-written"),
    ],
)
def test_a_stage_is_understood_by_each_of_its_names(text: str, name: str) -> None:
    assert LADDER[find_stage(text, LADDER)].name == name


def test_a_lasting_name_goes_before_another_stage_s_title() -> None:
    known = (StageName("outer-voices", ("Bass line",)), StageName("bass-line", ("The low part",)))
    assert find_stage("bass line", known) == 1


def test_a_title_goes_before_what_another_stage_was_once_called() -> None:
    known = (StageName("simple-tune", ("Hands in place",), ("blocked chords",)), StageName("x", ("Blocked chords",)))
    assert find_stage("blocked chords", known) == 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "bass lien",
            "the ladder has no stage 'bass lien'. Perhaps Basslinie; the stages are: Basslinie, Hands in place, "
            "outer-voices-bars-1-8, outer-voices-bars-9-16, As written",
        ),
        ("blocked cords", "Perhaps Hands in place; the stages are"),
        ("zzz", "the ladder has no stage 'zzz'. The stages are: Basslinie"),
        ("outer voices", "there are 2 stages 'outer voices'. Write outer-voices-bars-1-8 or outer-voices-bars-9-16"),
    ],
)
def test_what_means_no_stage_or_several_is_told_with_the_stages(text: str, said: str) -> None:
    with pytest.raises(ContentError) as raised:
        find_stage(text, LADDER)
    assert said in str(raised.value)
