"""The demo's works in the public domain, note for note beside another edition: which key is struck when, how it is
spelled, how long it sounds. Slurs, dynamics and fingering are the studio's and are not compared.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import pytest

from sitegen.score import read_score
from tests.content.reference import FOLDER, Heard, Reading, from_file, from_table, joined, of_score

CONTENT = Path(__file__).resolve().parents[2] / "content"


@dataclass(frozen=True)
class Edition:
    """A piece of the demo and the edition that it is held against, of which it has the first ``bars`` bars."""

    slug: str
    reading: Reading
    file: str
    bars: int
    bar_length: int


EDITIONS = (
    Edition("prelude-bwv-926", from_file, "bwv-926.musicxml", 48, 3),
    Edition("sonata-op-27-no-2", from_file, "beethoven-sonata14-1.krn", 23, 4),
    Edition("scenes-from-childhood-1", from_table, "kinderszenen-1.notes.tsv", 22, 2),
    Edition("prelude-op-28-no-20", from_file, "chopin-op28-20.mxl", 13, 4),
    Edition("sonata-k-545", from_file, "k545-1.mxl", 28, 4),
)
EXCEPTIONS: dict[str, frozenset[int]] = {}
"""Bars that are meant to differ, by the name of the piece, each with its reason beside it. There is none: where
editions differ (bar 3 of the Chopin, of which its commentary tells), the studio's has the reading of the other."""


def differences(ours: Heard, theirs: Heard, but: frozenset[int] = frozenset()) -> list[str]:
    """What only one of two editions has, bar by bar, in words."""
    found = []
    for place in sorted({*ours.struck, *theirs.struck}):
        one, other = ours.struck.get(place), theirs.struck.get(place)
        if one != other and place[0] not in but:
            bar, onset, pitch = place
            found.append(f"bar {bar}, {pitch} at {onset}: {one or 'not here'}, there {other or 'not'}")
    for bar in sorted({*ours.graces, *theirs.graces} - but):
        if ours.graces.get(bar) != theirs.graces.get(bar):
            found.append(f"bar {bar}, small notes: {ours.graces.get(bar)}, there {theirs.graces.get(bar)}")
    return found


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda edition: edition.slug)
def test_the_encoding_has_the_notes_of_the_work(edition):
    if not (FOLDER / edition.file).exists():
        pytest.skip(f"the other edition, {edition.file}, is not here")
    theirs = joined(edition.reading(edition.file, edition.bars), Fraction(edition.bar_length))
    ours = of_score(read_score(CONTENT / edition.slug / "score.musicxml"))
    assert theirs.struck
    assert differences(ours, theirs, EXCEPTIONS.get(edition.slug, frozenset())) == []


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda edition: edition.slug)
def test_the_encoding_is_read_without_a_warning(edition):
    score = read_score(CONTENT / edition.slug / "score.musicxml")
    assert score.warnings == ()
    assert [bar.number for bar in score.bars] == [str(number) for number in range(1, edition.bars + 1)]


def test_a_wrong_note_a_wrong_length_and_a_missing_ornament_are_named():
    quarter = Fraction(1)
    ours = Heard({(1, Fraction(0), "C4"): quarter, (2, Fraction(1), "D4"): quarter}, {})
    theirs = Heard({(1, Fraction(0), "C4"): 2 * quarter, (2, Fraction(1), "Db4"): quarter}, {3: ["E4"]})
    assert differences(ours, theirs) == [
        "bar 1, C4 at 0: 1, there 2",
        "bar 2, D4 at 1: 1, there not",
        "bar 2, Db4 at 1: not here, there 1",
        "bar 3, small notes: None, there ['E4']",
    ]
    assert differences(ours, theirs, frozenset({1, 2})) == ["bar 3, small notes: None, there ['E4']"]
