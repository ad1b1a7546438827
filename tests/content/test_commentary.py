"""What the demo's commentaries say of notes is what the bars, and the stages, have (see ``commentary.py``)."""

from __future__ import annotations

import pytest

from tests.content.commentary import Claim, claims
from tests.content.ladders import SLUGS, Ladder, ladder


def untrue(one: Ladder, claim: Claim) -> list[str]:
    """The notes of a claim that are in none of its bars."""
    bars = [bar for bar in one.score.bars if bar.number.isdigit() and int(bar.number) in claim.bars]
    known = [stage for stage in one.stages.values() if _called(claim.stage) in {stage.slug, _called(stage.title)}]
    sounding = known[0].notes if known else one.score.notes
    there = {
        n.pitch.name.rstrip("-0123456789")
        for n in sounding
        for bar in bars
        if bar.onset <= n.onset < bar.end or n.onset < bar.end < n.end or n.onset < bar.onset < n.end
    }
    return [note for note in claim.notes if note not in there]


def _called(stage: str) -> str:
    return "-".join(stage.casefold().split())


@pytest.mark.parametrize("slug", SLUGS)
def test_the_commentary_names_notes_that_are_there(slug):
    one = ladder(slug)
    found = list(claims(one.piece.commentary))
    assert len(found) > 4
    assert [(claim.sentence, wrong) for claim in found if (wrong := untrue(one, claim))] == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("In bar 3 the bass falls to B flat.", [({3}, ("Bb",), "")]),
        ("Bars 2, 4 and 6 have C, and bars 8 to 10 an F sharp.", [({2, 4, 6, 8, 9, 10}, ("C", "F#"), "")]),
        ("From bar 2 to bar 4 it stays on A.", [({2, 3, 4}, ("A",), "")]),
        ("A leap ([hear it](bars:1-2)). It comes to the C sharps.", [({1, 2}, ("C#",), "")]),
        ("A flat in bar 7. A step later all is still.", [({7}, ("Ab",), "")]),
        ("In bar 5 we are in A minor, E flat major or C sharp minor.", []),
        ("**Bass line.** In bar 5 it reaches E natural.", [({5}, ("E",), "bass line")]),
        ("**Bass line.** Name each: G, A.", []),
        ("![C sharp leads to D](bars:1-2/outer-voices)", [({1, 2}, ("C#", "D"), "outer-voices")]),
        ("The sonata op. 28 in bar 4. E.T.A. is no note, G is.", [({4}, ("G",), "")]),
    ],
)
def test_what_is_read_as_a_claim(text, found):
    assert [(set(claim.bars), claim.notes, claim.stage) for claim in claims(text)] == found


def test_a_note_that_is_not_there_is_told():
    one = ladder("prelude-op-28-no-20")
    assert untrue(one, Claim("", frozenset({8}), ("Db", "D#"))) == ["D#"]
    assert untrue(one, Claim("", frozenset({8}), ("Db", "F"), "bass line")) == ["F"]
