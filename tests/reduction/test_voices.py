"""The ladder of counterpoint: no voice is cut, no subject is thinned, two voices lie one in each hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from sitegen.analysis import analyse
from sitegen.analysis.nouns import Counterpoint
from sitegen.reduction import build_ladder
from sitegen.reduction.material.indexed import gather
from sitegen.reduction.notes.laying import laid_in_hands
from sitegen.reduction.remarks import lines
from sitegen.reduction.remarks.listen_texts import text_of
from sitegen.reduction.remarks.shown import shown
from tests.fugue import fugue
from tests.notation import score_of
from tests.reduction.invariants import violations
from tests.reduction.reading import line, read, reduced


@pytest.fixture(scope="module")
def made():
    score = fugue()
    analysis = analyse(score)
    return score, analysis, {stage.slug: stage for stage in build_ladder(score, analysis)}


def sources(stage):
    return {source for note in stage.notes for source in note.sources}


def test_a_fugue_has_the_ladder_of_counterpoint(made):
    score, analysis, stages = made
    assert [stage.title for stage in stages.values() if not stage.side_study] == [
        "Bass line", "Highest voice over the bass", "Outer voices complete", "As written",
    ]  # fmt: skip
    assert violations(score, analysis, tuple(stages.values())) == []


def test_every_voice_has_a_stage_to_itself_from_its_first_note_to_its_last(made):
    _, analysis, stages = made
    names = ("highest-voice-alone", "second-voice-alone", "lowest-voice-alone")
    assert [sources(stages[name]) for name in names] == [set(voice) for voice in analysis.counterpoint.voices]


def test_no_stage_thins_an_entry_of_a_voice_that_it_has(made):
    _, analysis, stages = made
    for stage in stages.values():
        has = sources(stage)
        for entry in analysis.counterpoint.entries:
            if stage.slug.startswith(("subject", "outer")) or has.issuperset(analysis.counterpoint.voices[entry.voice]):
                assert has.issuperset(entry.notes), stage.slug
        assert all(note.duration for note in stage.notes)


def test_pairs_of_voices_lie_one_in_each_hand(made):
    _, analysis, stages = made
    voice_of = {note: k for k, voice in enumerate(analysis.counterpoint.voices) for note in voice}
    for name in ("two-highest-voices", "two-lowest-voices", "highest-and-lowest-voice"):
        hands = {(voice_of[note.sources[0]], note.hand) for note in stages[name].notes}
        (_, upper), (_, lower) = sorted(hands)
        assert (upper, lower) == ("right", "left"), name
    crossed = [note for note in stages["two-lowest-voices"].notes if note.moved]
    assert {note.sources[0] for note in crossed} == {"G4.5", "D4", "E4.2", "Fs4.2", "G4.6", "A4.4"}


def test_an_entry_by_itself_lies_in_one_hand():
    """The answer in bar 2 is printed half above and half below; by itself it is played by the hand that has most."""
    score = fugue()
    staves = {note.id: note.staff for note in score.notes}
    stage = build_ladder(score, analyse(score))[0]
    by_bar = {score.bar_at(note.onset).number: set() for note in stage.notes}
    for note in stage.notes:
        by_bar[score.bar_at(note.onset).number].add(note.staff)
    assert all(len(hands) == 1 for hands in by_bar.values())
    assert staves["G4.5"] == 2


def test_a_voice_by_itself_stays_in_its_hand_where_the_score_takes_it_over_for_a_bar(made):
    """In bar 6 the middle voice is printed below, between bars above."""
    _, _, stages = made
    assert {note.staff for note in stages["second-voice-alone"].notes} == {1}
    score = score_of(
        right="E5q D5 C5 D5 | rw | rw | E5q D5 C5 D5", left="rw | E3q D3 C3 D3 | E3q D3 C3 D3 | rw"
    )  # fmt: skip
    there = laid_in_hands(gather(score, read(score, "CEG:16")), [score.notes])
    assert [note.staff for note in there] == [1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 2, 2, 1, 1, 1, 1]


def test_what_one_voice_has_alone_at_the_beginning_is_heard_as_the_highest(made):
    """The middle voice begins; without it bar 1 would be empty."""
    score, _, stages = made
    stage = stages["highest-voice-over-the-bass"]
    assert line([note for note in stage.notes if note.onset < score.bars[1].onset], score) == (
        "0 C5 1 | 1 G4 1/2 | 3/2 A4 1/2 | 2 B4 1/2 | 5/2 C5 1/2 | 3 D5 1"
    )


def test_what_is_said_of_the_subject_is_true_of_the_entries(made):
    _, _, stages = made
    assert stages["subject-wherever-it-enters"].listen == "The subject enters 6 times: in bars 1, 2, 3, 5, 6, 7."
    assert stages["subject-and-lowest-voice"].listen == "The lowest voice has the subject in bars 3, 7."
    assert stages["outer-voices-complete"].listen == "Between the outer voices the subject enters in bars 1, 6."
    assert stages["highest-voice-alone"].listen == "This voice enters in bar 2 with the answer to the subject."
    assert stages["second-voice-alone"].listen == "This voice enters in bar 1 with the subject."
    assert stages["two-highest-voices"].listen == "The left hand has the subject in bar 1, the right hand in bar 2."
    assert stages["as-written"].listen.startswith("The answer in bar 2 is tonal")


def test_main_stages_grow_voice_by_voice(made):
    main = [sources(stage) for stage in made[2].values() if not stage.side_study]
    assert all(fewer < more for fewer, more in pairwise(main))


def test_an_adagio_in_several_voices_has_no_ladder_of_counterpoint():
    score = score_of(
        right="G5h. F5q | E5h. G5q | A5h. B5q | C6w ; E5q D5 C5 D5 | C5 B4 C5 E5 | F5 E5 F5 D5 | E5w",
        left="C3h G2 | C3h C3 | F3h G3 | C3w ; rw",
    )
    assert all("subject" not in stage.slug for stage in build_ladder(score, analyse(score)))


def test_of_a_voice_by_itself_nothing_is_said_of_a_melody(made):
    score, analysis, stages = made
    alone = stages["second-voice-alone"]
    sentences = [
        text_of(s)
        for remark in (lines.voice_steps, lines.voice_leap)
        for s in remark(shown(gather(score, analysis), alone, None))
    ]
    assert sentences
    assert all("this voice" in text.lower() and "melody" not in text for text in sentences)
    assert not any("melody" in stage.listen for slug, stage in stages.items() if slug.endswith("voice-alone"))


def test_a_hand_alone_has_its_voice_also_where_it_is_printed_on_the_other_staff():
    score = score_of(right="C5q G4 E4 C4", left="C3w")
    crossing = tuple(replace(note, staff=2) if note.id in ("E4", "C4") else note for note in score.notes)
    made = gather(replace(score, notes=crossing), read(score, "CEG:4"))
    assert [note.sources[0] for note in reduced("right hand alone", made)] == ["C5", "G4", "E4", "C4"]
    assert [note.sources[0] for note in reduced("left hand alone", made)] == ["C3"]


@pytest.mark.parametrize(("bars", "has"), [("G4w | rw | rw | rw", False), ("G4w | A4w | rw | rw", True)])
def test_a_voice_that_only_fills_in_is_no_study(bars, has):
    """Silent in more than half of the bars, it has none by itself, and none with another."""
    score = score_of(right=f"E5w | F5w | G5w | E5w ; {bars}", left="C3w | D3w | E3w | C3w")
    parts = [tuple(n.id for n in score.notes if (n.staff, n.voice) == part) for part in ((1, 1), (1, 2), (2, 5))]
    counterpoint = Counterpoint(tuple(parts), ())
    made = gather(score, replace(read(score, "CEG:16"), counterpoint=counterpoint))
    for name in ("second voice alone", "two highest voices", "two lowest voices"):
        assert bool(reduced(name, made)) == has, name
    assert reduced("highest and lowest voice", made)


def test_a_hand_lets_go_of_a_key_on_the_half_beat_before_the_other_strikes_it():
    score = score_of(right="rh re. C5s D5q", left="C5w")
    made = gather(score, read(score, "CEG:4"))
    upper, lower = ([n for n in score.notes if n.staff == staff] for staff in (1, 2))
    assert line(laid_in_hands(made, [upper, lower]), score, 2) == "0 C5 5/2"
    score = score_of(right="rs C5s re rq rh", left="C5w")  # no sooner than it is struck
    upper, lower = ([n for n in score.notes if n.staff == staff] for staff in (1, 2))
    assert line(laid_in_hands(gather(score, read(score, "CEG:4")), [upper, lower]), score, 2) == "0 C5 4"


@pytest.mark.parametrize(("low", "staff"), [("F3", 1), ("E3", 2)])
def test_a_voice_that_goes_over_to_be_read_without_ledger_lines_goes_over(low, staff):
    score = score_of(right="E5q D5 C5 D5 | rw | E5q D5 C5 D5", left=f"rw | {low}q C4 E4 G4 | rw")
    there = laid_in_hands(gather(score, read(score, "CEG:12")), [score.notes])
    assert [note.staff for note in there] == [1, 1, 1, 1, staff, staff, staff, staff, 1, 1, 1, 1]


def test_the_highest_voice_has_nothing_below_a_note_that_it_holds():
    score = score_of(right="E5h. D5q ; rq G4 A4 F4", left="C3w")
    upper, lower = (tuple(n.id for n in score.notes if n.staff == staff) for staff in (1, 2))
    made = gather(score, replace(read(score, "CEG:4"), counterpoint=Counterpoint((upper, lower), ())))
    for name in ("highest voice alone", "highest voice over the bass"):
        assert line(reduced(name, made), score) == "0 E5 3 | 3 F4+D5 1", name


def test_a_line_that_has_a_staff_to_itself_is_one_voice_there_whatever_its_numbers():
    score = score_of(right="rw", left="C3h rh ; rh D3h")
    there = laid_in_hands(gather(score, read(score, "CEG:4")), [score.notes])
    assert len({note.voice for note in there}) == 1
    pair = laid_in_hands(gather(score, read(score, "CEG:4")), [score.notes, ()])
    assert len({note.voice for note in pair}) == 1
