"""What is counterpoint, where the subject enters, and what only resembles it."""

from __future__ import annotations

import pytest

from sitegen.analysis.counterpoint import find_counterpoint
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
