"""What a few bars with signs of loudness are struck with: MIDI velocities, in the order in which the notes begin."""

from __future__ import annotations

from dataclasses import replace

from sitegen.reduction.notes.loudness import velocities
from sitegen.score import Score
from tests.notation import score_of
from tests.writing.reading_back import stage_of


def struck(score: Score, hand: str = "right", only: set[str] | None = None) -> list[int]:
    notes = [n for n in stage_of(score).notes if only is None or n.sources[0] in only]
    found = velocities(score, notes)
    staff = next(staff.number for staff in score.staves if staff.hand == hand)
    return [found[n.id] for n in sorted(notes, key=lambda n: n.onset) if n.staff == staff]


def test_music_without_a_mark_is_played_moderately() -> None:
    assert struck(score_of("C5q D5 E5 F5")) == [78, 78, 78, 78]


def test_a_level_holds_until_the_next() -> None:
    assert struck(score_of("*p C5q D5 *f E5 F5 | *pp G5w")) == [50, 50, 92, 92, 36]


def test_levels_lie_equally_far_apart() -> None:
    text = " ".join(f"*{mark} C5q" for mark in ("ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"))
    assert struck(score_of(text, metre="8/4")) == [22, 36, 50, 64, 78, 92, 106, 120]


def test_a_hairpin_leads_to_the_level_at_its_end() -> None:
    assert struck(score_of("*p *< C5q D5 E5 F5 | *. *f G5w")) == [50, 60, 71, 82, 92]


def test_a_level_a_beat_after_the_hairpin_is_what_it_led_to() -> None:
    assert struck(score_of("*p *< C5q D5 E5 *. F5 | *f G5w")) == [50, 60, 71, 82, 92]


def test_a_hairpin_to_no_level_is_one_step_and_what_is_reached_holds() -> None:
    assert struck(score_of("*p *< C5h D5 | *. E5h F5")) == [50, 57, 64, 64]
    assert struck(score_of("*f *> C5h D5 | *. E5h F5")) == [92, 85, 78, 78]


def test_a_row_of_hairpins_never_leads_further_than_a_step_beyond_what_is_printed() -> None:
    bars = " | ".join(["*> C5h D5 *. *> E5h F5 *."] * 3)
    assert struck(score_of(f"*pp {bars}", metre="8/4"))[-1] == 22
    bars = " | ".join(["*< C5h D5 *. *< E5h F5 *."] * 3)
    assert struck(score_of(f"*mp {bars}", metre="8/4"))[-1] == 92


def test_a_sudden_piano_after_a_crescendo_is_sudden() -> None:
    assert struck(score_of("*mf *< C5h D5 | *. *p E5h F5")) == [78, 85, 50, 50]


def test_written_crescendo_grows_to_the_next_level() -> None:
    assert struck(score_of("*p *cresc. C5h D5 | E5h F5 | *f G5w")) == [50, 60, 71, 82, 92]


def test_written_diminuendo_without_an_end_is_one_step_in_four_bars() -> None:
    bars = " | ".join(["C5w"] * 5)
    assert struck(score_of(f"*f *dim. {bars}")) == [92, 88, 85, 82, 78]


def test_a_level_nine_bars_later_is_not_what_a_crescendo_led_to() -> None:
    bars = " | ".join(["C5w"] * 9)
    assert struck(score_of(f"*p *cresc. {bars} | *ff C5w"))[3:] == [60, 64, 64, 64, 64, 64, 106]


def test_a_blow_is_one_moment_louder_than_what_is_around_it() -> None:
    assert struck(score_of("*p C5q *sf D5 E5 F5")) == [50, 70, 50, 50]
    assert struck(score_of("*f C5q *sfz D5 E5 F5")) == [92, 112, 92, 92]


def test_fortepiano_is_struck_loud_and_goes_on_softly() -> None:
    assert struck(score_of("*mf C5q *fp D5 E5 F5")) == [78, 92, 50, 50]


def test_accents_are_less_than_the_next_level_and_hold_for_the_chord() -> None:
    assert struck(score_of("*p C5q D5!accent E5!strong-accent F5")) == [50, 60, 66, 50]
    assert struck(score_of("*p C5+E5q!accent D5h.")) == [60, 60, 50]


def test_nothing_leaves_what_a_key_can_be_struck_with() -> None:
    assert struck(score_of("*fff C5h!strong-accent *sf D5!accent")) == [127, 127]


def test_a_mark_between_the_staves_speaks_to_both_hands() -> None:
    score = score_of("*p C5h D5h", "C3h D3h")
    assert struck(score, "left") == [50, 50]


def test_a_hand_with_a_mark_of_its_own_keeps_it() -> None:
    score = score_of("*p C5h D5h", "*f C3h D3h")
    below = tuple(replace(s, placement="below") if s.staff == 2 else s for s in score.signs)
    score = replace(score, signs=below)
    assert (struck(score), struck(score, "left")) == ([50, 50], [92, 92])


def test_a_hand_to_which_no_mark_speaks_goes_with_the_other() -> None:
    score = score_of("*p C5h D5h", "C3h D3h")
    score = replace(score, signs=tuple(replace(s, placement="above") for s in score.signs))
    assert struck(score, "left") == [50, 50]


def test_a_stage_keeps_the_loudness_of_the_passage() -> None:
    score = score_of("*p *< C5q D5 E5 F5 | *. *f G5w", "C3w | G3w")
    assert struck(score, "left", only={"C3", "G3"}) == [50, 92]
    assert struck(score, only={"E5"}) == [71]
