"""Every voice is followed through both staves, whatever numbers the editor gave it."""

from __future__ import annotations

import pytest

from sitegen.analysis.counterpoint.voices import count_voices, follow_voices
from sitegen.analysis.counterpoint.voices.following import (
    CROSSING,
    HANDS_OVER,
    NO_VOICE,
    DirectedNote,
    Way,
    best_ways,
    cost_of,
    leaving,
)
from sitegen.analysis.counterpoint.voices.outer import go_on_outside
from tests.fugue import fugue
from tests.notation import score_of


def followed(score):
    """The ids of each voice's notes, from the highest voice."""
    notes = list(score.notes)
    count = count_voices(notes)
    found = [[] for _ in range(count)]
    for note, voice in zip(
        notes, follow_voices(notes, count, score.ticks_per_quarter, score.bars[0].length), strict=True
    ):
        if voice is not None:
            found[voice].append(note.id)
    return [" ".join(ids) for ids in found]


def test_a_full_chord_at_the_close_is_no_further_voice():
    line, bass = "C5q D5 E5 F5 | E5 D5 E5 F5 | E5 D5 C5 B4", "C3h D3 | E3 D3 | C3 G2"
    score = score_of(right=f"{line} | C5+E5+G5w", left=f"{bass} | C3+G3w")
    assert count_voices(score.notes) == 2
    held = "C5q D5 E5 F5 | E5 D5 E5 F5 | E5 D5 C5 B4 ; G4w | G4w | G4w"
    assert count_voices(score_of(right=held, left=bass).notes) == 3


def test_a_voice_that_goes_on_in_the_other_staff_is_one_voice():
    score = score_of(
        right="G5h A5 | G5h A5 | G5h A5 ; E4q F4 E4 D4 | rw | E4q F4 E4 D4",
        left="C3h F2 | C4q B3 C4 D4 | C3h F2 ; rw | C3h F2 | rw",
    )
    assert followed(score)[1] == "E4 F4 E4.2 D4 C4 B3 C4.2 D4.2 E4.3 F4.2 E4.4 D4.3"


def test_two_voices_that_are_printed_as_chords_are_two():
    right = "E5+C5q D5+B4 C5+A4 D5+B4 | E5h. D5q ; rw | C5q B4 C5 B4"
    score = score_of(right=right, left="C3w | G2w")
    assert followed(score)[:2] == ["E5 D5 C5.2 D5.2 E5.2 D5.3", "C5 B4 A4 B4.2 C5.3 B4.3 C5.4 B4.4"]


def test_a_line_by_itself_goes_on_in_its_own_voice_over_a_wide_leap():
    """At bar 2 the lower voice, silent till then, would lie nearer; but nobody has fallen silent."""
    score = score_of(right="C5q D5 E5 D5 | C4e C5 D5 E5 F5h ; rw | rh C4h", left="rw | rw | C3w C3w")
    assert followed(score)[0].startswith("C5 D5 E5 D5.2 C4 C5.2")


def test_the_voices_of_a_fugue_keep_their_order():
    upper, middle, lower = followed(fugue())
    assert upper.endswith("C5.7 B4.4 C5.8 D5.6 E5.8")
    assert middle.endswith("G4.5 D4 E4.2 Fs4.2 G4.6 A4.4 G4.7 G4.8 C5.9")
    assert lower.startswith("C3 G2 A2 B2 C3.2 D3 E3")


def outside(high: str, middle: str, low: str) -> list[int]:
    """How many notes each of three voices has when the outer voices have gone on."""
    score = score_of(right=f"{high} ; {middle}", left=low)
    voices = [{1: 0, 2: 1, 5: 2}[note.voice] for note in score.notes]
    found = go_on_outside(score.notes, voices, 3, score.bars[0].length)
    return [found.count(voice) for voice in range(3)]


HIGH, ALTO, LOW = "C6q B5 A5 B5", "E5h F5", "C4h G3"


def bars(*parts: tuple[int, str]) -> str:
    return " | ".join(bar for count, bar in parts for bar in [bar] * count)


def test_a_voice_that_lies_where_the_highest_lay_for_a_phrase_is_the_highest():
    for rests, expected in ((4, [32, 8, 16]), (3, [16, 20, 14])):
        high = bars((2, HIGH), (rests, "rw"), (2, HIGH))
        middle = bars((2, ALTO), (rests, "C6q B5 C6 B5"), (2, ALTO))
        assert outside(high, middle, bars((rests + 4, LOW))) == expected


def test_an_alto_in_its_own_register_stays_the_alto():
    high, middle = bars((2, HIGH), (4, "rw"), (2, HIGH)), bars((2, ALTO), (4, "E5q F5 E5 D5"), (2, ALTO))
    assert outside(high, middle, bars((8, LOW))) == [16, 24, 16]


def test_a_voice_that_lies_where_the_lowest_lay_for_a_phrase_is_the_lowest():
    low, middle = bars((2, LOW), (4, "rw"), (2, LOW)), bars((2, ALTO), (4, "C4q G3 C4 G3"), (2, ALTO))
    assert outside(bars((8, HIGH)), middle, low) == [32, 8, 24]


def test_only_the_voice_next_to_the_outer_one_stands_for_it():
    """The lowest voice lies as high as the highest, but the middle voice sounds between them, in its own register."""
    high, low = bars((2, HIGH), (4, "rw"), (2, HIGH)), bars((2, LOW), (4, "C6h B5"), (2, LOW))
    assert outside(high, bars((8, ALTO)), low) == [16, 16, 16]


def test_at_most_six_voices_are_counted():
    chords = " ; ".join(f"{name}w {name}w" for name in ("C6", "G5", "E5", "C5"))
    low = " ; ".join(f"{name}w {name}w" for name in ("G4", "E4", "C4"))
    assert count_voices(score_of(right=chords, left=low).notes) == 6


def in_bars(*lengths, bars=12):
    """Bars of two voices and a last, with a third that sounds for so many sixteenths of each of the first."""
    third = " | ".join(f"{'G4s~ ' * (n - 1)}G4s{' rs' * (16 - n)}" if n else "rw" for n in lengths)
    return count_voices(score_of(right=f"C5w{' C5w' * bars} ; {third}", left="C3w " * (bars + 1)).notes)


def test_a_voice_that_sounds_for_a_twelfth_of_the_time_in_a_sixth_of_the_bars_is_one():
    assert in_bars(16, 4) == 3
    assert in_bars(16, 0) == 2
    assert in_bars(*[1] * 12) == 2
    assert in_bars(8, 7) == 2
    assert in_bars(8, 8) == 3
    assert in_bars(16, 16, bars=13) == 2
    assert in_bars(16, 16, 1, bars=13) == 3


def way(*events, cost=0.0):
    return Way(cost, events, tuple(float(event.midi) for event in events))


def event(start, end, midi, staff=1, place=0, before=(), leaving=0.0):
    return DirectedNote(place, start, end, midi, staff, frozenset(before), leaving)


QUARTER, BAR = 4, 16
SOUNDED = way(event(0, 4, 60))


def leap(semitones):
    """What it costs a voice to go so far; the other costs are told by it."""
    return cost_of(SOUNDED, event(4, 8, 60 + semitones), 0, QUARTER, BAR)


def test_a_leap_costs_by_its_semitones_up_to_a_tenth():
    assert leap(12) == 2 * leap(6) == 12 * leap(1)
    assert leap(16) == 16 * leap(1) == leap(17) == leap(40)


def test_what_else_costs_as_much_as_a_leap():
    """Another staff as more than a tone; a second note at once as nearly two octaves, and more the longer they overlap;
    a bar of rest as a tone, and it makes a leap half as wide; a register left after a rest as a fifth of a leap."""

    def costs(*arguments, way=SOUNDED):
        return cost_of(way, event(*arguments), 0, QUARTER, BAR)

    assert costs(4, 8, 60, 2) == pytest.approx(1.25 * leap(1))
    assert costs(0, 8, 60) == pytest.approx(45 * leap(1))
    assert costs(2, 8, 60) == pytest.approx(1.5 * 22.5 * leap(1))
    assert costs(4 + BAR, 30, 60) == pytest.approx(leap(2))
    high = Way(0.0, (event(0, 4, 60),), (70.0,))
    assert costs(4 + BAR, 30, 60, way=high) == pytest.approx(leap(2) + leap(2))
    assert costs(4 + BAR, 30, 68, way=SOUNDED) == pytest.approx(leap(2) + leap(4) + 0.2 * leap(8))
    assert pytest.approx((leap(5), leap(10), 25 * leap(1))) == (CROSSING, HANDS_OVER, NO_VOICE)
    assert leap(1) == pytest.approx(0.4)


def test_an_editor_s_voice_is_left_the_more_dearly_the_closer_its_notes_follow_each_other():
    """Within a bar as by a leap of twenty semitones, after a rest of ten; at a bar line of nearly nine, unless that bar
    numbers its voices anew; later hardly."""
    costs = [leaving(0, 0, QUARTER, False), leaving(0, 2, QUARTER, False), leaving(1, 0, QUARTER, False),
             leaving(1, 0, QUARTER, True), leaving(2, 0, QUARTER, False)]  # fmt: skip
    assert costs == pytest.approx([20 * leap(1), 10 * leap(1), 8.75 * leap(1), 2.5 * leap(1), 1.5 * leap(1)])
    assert leaving(1, 5, QUARTER, False) == leaving(2, 0, QUARTER, False)


def test_the_twelve_best_ways_are_followed_and_none_that_costs_as_much_more_as_a_leap_of_three_octaves():
    ways = [way(cost=k / 10) for k in range(20, 0, -1)]
    assert [one.cost for one in best_ways(ways)] == [k / 10 for k in range(1, 13)]
    assert [one.cost for one in best_ways([way(cost=c) for c in (1.0, 14.9, 15.1)])] == [1.0, 14.9]
