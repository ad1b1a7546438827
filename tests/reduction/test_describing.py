"""The ladder as a page that a teacher reads."""

from __future__ import annotations

import pytest

from sitegen.reduction.describing import describe_ladder
from sitegen.reduction.nouns import HandReport, Stage, WideStretch
from tests.notation import score_of


@pytest.mark.parametrize(
    ("wide", "named"),
    [
        (1, "in bar 1"),
        (5, "in bars 1, 2, 3, 4, 5"),
        (6, "in bars 1, 2, 3, 4, 5, 6"),
        (7, "in bars 1, 2, 3, 4, 5, 6 and 1 more"),
        (14, "in bars 1, 2, 3, 4, 5, 6 and 8 more"),
    ],
)
def test_six_bars_with_wide_stretches_are_named_and_the_others_counted(wide, named):
    score = score_of(left="C3+E4w " * 14)
    places = tuple(WideStretch(bar.onset, 16, "as written") for bar in score.bars[:wide])
    stage = Stage("as-written", "As written", ("as written",), (), hands=(HandReport("left", 16, places),))
    assert describe_ladder(score, [stage]).splitlines()[2] == (
        f"    left hand: tenth at the widest, beyond its span {named}"
    )
