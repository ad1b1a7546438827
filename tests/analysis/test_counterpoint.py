"""What is counterpoint, where the subject enters, and what only resembles it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.analysis.counterpoint.finding import (
    are_independent,
    both_hands_sing,
    find_counterpoint,
    is_one_subject,
    share_in_chords,
    wanders,
)
from sitegen.analysis.nouns import Entry
from tests.fugue import fugue
from tests.notation import score_of


def test_the_entries_of_a_fugue_have_bar_voice_and_form():
    score = fugue()
    found = find_counterpoint(score)
    entries = [(score.bar_at(e.onset).number, e.voice, e.steps, e.form) for e in found.entries]
    assert entries == [
        ("1", 1, 0, "real"), ("2", 0, 4, "tonal"), ("3", 2, 0, "real"),
        ("5", 0, 0, "real"), ("6", 1, 4, "real"), ("7", 2, 0, "real"),
    ]  # fmt: skip


def test_who_joins_with_the_subject_is_the_newcomer_whatever_its_number():
    """Bars 1 and 2 have one number in the highest staff; the answer in bar 2 is the second voice all the same."""
    upper, middle, _ = find_counterpoint(fugue()).voices
    assert " ".join(middle[:7]) == "C5 G4 A4 B4 C5.2 D5 B4.2"
    assert upper[0] == "G5"


TUNE = "E5q. D5e C5q D5 | E5q. F5e G5h | A5q. G5e F5q E5 | D5h. rq"
NO_COUNTERPOINT = {
    "a study in thirds": (
        "C5+E5e D5+F5 E5+G5 F5+A5 G5+B5 F5+A5 E5+G5 D5+F5 | C5+E5 D5+F5 E5+G5 F5+A5 G5+B5 F5+A5 E5+G5 D5+F5 "
        "| C5+E5 D5+F5 E5+G5 F5+A5 G5+B5 F5+A5 E5+G5 D5+F5 | C5+E5w",
        "C3h G3 | C3h G3 | C3h G3 | C3w",
    ),
    "thirds between the hands": (
        "E4e F4 G4 A4 B4 A4 G4 F4 | E4 F4 G4 A4 B4 A4 G4 F4 | E4 F4 G4 A4 B4 A4 G4 F4 | E4w",
        "C4e D4 E4 F4 G4 F4 E4 D4 | C4 D4 E4 F4 G4 F4 E4 D4 | C4 D4 E4 F4 G4 F4 E4 D4 | C4w",
    ),
    "a tune over an Alberti bass": (
        TUNE,
        "C3e G3 E3 G3 C3 G3 E3 G3 | C3 G3 E3 G3 C3 G3 E3 G3 | F3 C4 A3 C4 F3 C4 A3 C4 | G3w",
    ),
    "an adagio with a tune over an inner voice that moves": (
        "G5h. F5q | E5h. G5q | A5h. B5q | C6w "
        "; rs E5 C5 E5 rs E5 C5 E5 rs D5 B4 D5 rs D5 B4 D5 | rs C5 G4 C5 rs C5 G4 C5 rs E5 C5 E5 rs E5 C5 E5 "
        "| rs F5 C5 F5 rs F5 C5 F5 rs F5 D5 F5 rs F5 D5 F5 | E5w",
        "C3h G2 | C3h C3 | F3h G3 | C3w",
    ),
    "a tune that begins alone and has one echo": (
        "C5q E5e D5 C5q G5 | E5h D5 | C5q D5 E5 F5 | G5h. F5q | E5q D5 C5 B4 | A4h B4 | C5q B4 A4 G4 | C5w",
        "rw | C3q E3e D3 C3q G3 | C3h D3 | E3h G3 | C3h E3 | F3h G3 | F3h G3 | C3w",
    ),
}


@pytest.mark.parametrize("music", NO_COUNTERPOINT)
def test_what_only_resembles_counterpoint_is_none(music):
    right, left = NO_COUNTERPOINT[music]
    assert find_counterpoint(score_of(right=right, left=left)) is None


def test_two_voices_that_share_a_motive_are_counterpoint_though_they_begin_together():
    motive = "rs C{0} D{0} E{0} F{0} D{0} E{0} C{0}"
    high, low = motive.format(5), motive.format(3)
    right = " | ".join([f"{high} G5q C6q | B5q A5e G5e A5q B5"] * 4)
    left = " | ".join(["C3q D3e E3 D3q E3", f"{low} G3q G2q"] * 4)
    found = find_counterpoint(score_of(right=right, left=left))
    assert len(found.voices) == 2
    assert found.entries == ()


def test_a_subject_is_heard_alone_first():
    """The same motive, but the upper voice has it alone in the first bar: now each time that it comes is an entry."""
    motive = "rs C{0} D{0} E{0} F{0} D{0} E{0} C{0}"
    high, low = motive.format(5), motive.format(3)
    right = " | ".join([f"{high} G5q C6q | B5q A5e G5e A5q B5"] * 4)
    left = " | ".join(["C3q D3e E3 D3q E3", f"{low} G3q G2q"] * 4).replace("C3q D3e E3 D3q E3", "rw", 1)
    found = find_counterpoint(score_of(right=right, left=left))
    assert len(found.entries) == 8


def voices_of(*texts):
    return [score_of(right=text).notes for text in texts]


EIGHTS = "C5e D5 E5 F5 G5 F5 E5 D5"


def test_voices_are_independent_that_strike_a_quarter_of_the_time_without_each_other():
    """Seven and eight attacks in a bar are one rhythm; eight, of which six are common, are two."""
    assert not are_independent(voices_of(EIGHTS, "C4e D4 E4 F4 G4 F4 E4q"))
    assert are_independent(voices_of(EIGHTS, "C4e D4 E4 F4 G4q F4"))


def test_voices_are_independent_in_half_of_their_bars_or_not_at_all():
    own, common = "C4q D4 E4 F4", EIGHTS.replace("5", "4")
    assert are_independent(voices_of(" | ".join([EIGHTS] * 4), f"{own} | {own} | {common} | {common}"))
    assert not are_independent(voices_of(" | ".join([EIGHTS] * 4), f"{own} | {common} | {common} | {common}"))


def entries_at(*bars, length=1.0, voices=2, real=99):
    """Entries that begin at these of 32 bars of four ticks, as long as a bar unless otherwise said."""
    return tuple(
        Entry(int(bar * 16), int((bar + length) * 16), k % voices, (), 0, "real" if k < real else "tonal")
        for k, bar in enumerate(bars)
    )


LONG = score_of(right=" ".join(["C5w"] * 32))


def test_a_subject_takes_up_an_eighth_of_the_piece():
    assert wanders(LONG, entries_at(0, 8, 16, 20))
    assert not wanders(LONG, entries_at(0, 8, 16, 20, length=0.75))


def test_a_subject_goes_through_three_of_the_four_quarters_of_a_piece():
    assert wanders(LONG, entries_at(0, 3, 8, 16))
    assert wanders(LONG, entries_at(0, 8, 14, 24))
    assert not wanders(LONG, entries_at(0, 5, 8, 14))


def test_a_subject_has_three_entries_in_two_voices():
    assert wanders(LONG, entries_at(0, 8, 16, length=2))
    assert not wanders(LONG, entries_at(8, 16, length=3))
    assert not wanders(LONG, entries_at(0, 8, 16, length=2, voices=1))


def test_one_entry_of_four_has_every_step_of_the_subject():
    assert is_one_subject(entries_at(*range(8), real=2), answered=True, in_lines=False)
    assert not is_one_subject(entries_at(*range(9), real=2), answered=True, in_lines=False)


def test_a_motive_with_which_all_begin_comes_five_times_with_every_step_and_in_lines():
    assert is_one_subject(entries_at(*range(8), real=5), answered=False, in_lines=True)
    assert not is_one_subject(entries_at(*range(8), real=4), answered=False, in_lines=True)
    assert not is_one_subject(entries_at(*range(8), real=5), answered=False, in_lines=False)


def test_hands_sing_that_step_in_four_moves_of_ten():
    def sing(left):
        score = score_of(right="C5e D5 C5 D5 C5 D5 C5 D5 C5 D5 C5", left=left, metre="11/8")
        return both_hands_sing(score, score.notes)

    assert sing("C3e D3 C3 D3 C3 E3 C3 E3 C3 E3 C3")
    assert not sing("C3e D3 C3 D3 G3 C3 G3 C3 G3 C3 G3")


def thickened(score, chords):
    """The score with a third above every other note from the end, so many of them."""
    notes = list(score.notes)
    for note in notes[: -2 * chords - 1 : -2]:
        place = "CDEFGAB".index(note.pitch.step) + 2
        pitch = replace(note.pitch, step="CDEFGAB"[place % 7], octave=note.pitch.octave + place // 7)
        notes.append(replace(note, id=f"{note.id}x", pitch=pitch))
    return replace(score, notes=tuple(sorted(notes, key=lambda n: (n.onset, n.midi))))


def test_a_fugue_may_have_a_fifth_of_its_notes_in_chords_and_no_more_than_a_quarter():
    some, many = thickened(fugue(), 10), thickened(fugue(), 12)
    assert share_in_chords(some.notes) < 0.25 < share_in_chords(many.notes)
    assert find_counterpoint(some) is not None
    assert find_counterpoint(many) is None


def test_where_all_begin_together_hardly_a_chord_is_struck():
    motive = "rs C{0} D{0} E{0} F{0} D{0} E{0} C{0}"
    right = " | ".join([f"{motive.format(5)} G5q C6q | B5q A5e G5e A5q B5"] * 4)
    plain, chord = (f"C3q D3e E3 D3q E3 | {motive.format(3)} {end} G2q" for end in ("G3q", "G3+B3q"))
    some, many = (score_of(right=right, left=" | ".join([chord] * count + [plain] * (4 - count))) for count in (3, 4))
    assert share_in_chords(some.notes) < 0.06 < share_in_chords(many.notes)
    assert find_counterpoint(some) is not None
    assert find_counterpoint(many) is None


def joining(count):
    """Ten bars in which so many voices join, a bar one after the other, in a canon at the octave and the sixth."""
    bars = (
        "C{0}q D{0} E{0} F{0}", "G{0}q F{0}e E{0} D{0}q E{0}e F{0}", "E{0}h D{0}q C{0}", "E{0}h. D{0}q",
        "C{0}q D{0} E{0}h", "F{0}h E{0}",
    )  # fmt: skip
    sixth = str.maketrans("CDEFG", "ABCDE")
    voices = []
    for voice, octave in enumerate((6, 5, 5, 4, 3, 2)[:count]):
        line = [bars[k % 6].format(octave) for k in range(10 - voice)]
        voices.append(" | ".join(["rw"] * voice + [bar.translate(sixth) if voice == 2 else bar for bar in line]))
    half = (count + 1) // 2
    return score_of(right=" ; ".join(voices[:half]), left=" ; ".join(voices[half:]))


def test_five_voices_are_followed_and_of_more_the_highest():
    assert len(find_counterpoint(joining(5)).voices) == 5
    assert len(find_counterpoint(joining(6)).voices) == 5
