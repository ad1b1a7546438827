"""In which key a piece is said to be."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import pytest

from sitegen.analysis.nouns import Analysis
from sitegen.building.paging import Music, main_key
from tests.notation import score_of


@pytest.mark.parametrize(
    ("fifths", "harmonies", "key"),
    [
        (0, [("C major", "I"), ("G major", "V"), ("G major", "I")], "C major"),  # an exposition
        (4, [("C# minor", "i"), ("F# minor", "V"), ("F# minor", "i")], "C# minor"),  # a part of a movement
        (-1, [("D minor", "i"), ("D major", "V"), ("D major", "I")], "D minor"),  # the last chord with a raised third
        (0, [("G major", "V"), ("C major", "V"), ("C major", "I")], "C major"),  # it begins elsewhere
        (-1, [("G minor", "i"), ("A minor", "V"), ("G minor", "i")], "G minor"),  # a signature of an older time
        (0, [("A minor", "i"), ("C major", "V"), ("C major", "I")], "C major"),  # one signature for both
        (-1, [("G minor", "i"), ("A minor", "V"), ("A minor", "V")], "A minor"),  # no end on a tonic
        (0, [(None, None)], ""),
    ],
)
def test_the_key_of_a_piece_is_that_of_its_end_unless_only_its_beginning_has_the_signature(fifths, harmonies, key):
    score = score_of(right="C5w | C5w", key=fifths)
    heard = [SimpleNamespace(key=name, numeral=numeral, duration=1) for name, numeral in harmonies]
    assert main_key(Music(score, cast(Analysis, SimpleNamespace(harmonies=heard)))) == key
