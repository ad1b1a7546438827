"""How fast a piece begins."""

from __future__ import annotations

import re

from sitegen.score.nouns import Score

#: Quarter notes a minute for tempo words, the middle of the ranges on metronomes in common use.
WORDS = (
    ("larghetto", 63), ("largo", 50), ("grave", 44), ("lento", 54), ("adagietto", 72), ("adagio", 60),
    ("andantino", 84), ("andante", 76), ("moderato", 100), ("allegretto", 108), ("vivacissimo", 168), ("vivace", 150),
    ("prestissimo", 190), ("presto", 176), ("allegro", 132), ("maestoso", 80), ("langsam", 54), ("mässig", 92),
    ("bewegt", 112), ("lebhaft", 140), ("schnell", 152), ("rasch", 150), ("sehr langsam", 46), ("lent", 54),
    ("modéré", 92), ("vif", 150),
)  # fmt: skip
DEFAULT = 96.0


def starting_tempo(score: Score) -> float:
    """Quarter notes a minute at the start: as the score says in figures, else in words, else a moderate tempo."""
    first = [t for t in score.tempi if t.onset == 0] or list(score.tempi[:1])
    for t in first:
        if (t.figure or t.quarters_a_minute) > 0:
            return t.figure or t.quarters_a_minute
    for t in first:
        for word, speed in WORDS:
            if re.search(rf"\b{word}\b", t.text.lower()):
                return float(speed)
    return DEFAULT
