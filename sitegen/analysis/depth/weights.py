"""The weights of ``ranking.py`` and ``division.py``, few enough to read. How they were come by:

The ``SPLIT`` and ``HEAD`` tables were fitted by ``tests/benchmarks/fit_depth.py`` on hand-made time-span trees of 54
tunes: conditional logit for where a span divides, logistic regression for which half's head wins, L2 penalties 1 and 3,
rounded to two decimals. The features are preference rules of Lerdahl & Jackendoff (1983). The trees are not part of
this project; only these numbers come from them.

``CHORD_TONE`` is set from the theory (TSRPR 2, a consonant note is preferred), not fitted: the tunes have no chords.

*By span* is: times the span's length, log2 of quarters from -1 to 4.
"""

from __future__ import annotations

# Where a span divides, for the note that begins the second half
SPLIT_NOTE = {
    "metre": 0.51,  # metrical level up to the bar (ch. 7: spans follow the metre)
    "pause": -1.22,  # log2 of the time since the last onset, in quarters (GPR 2b)
    "longer before": 1.07,  # that time is longer than the time to the next onset (GPR 2b)
    "slur": -1.73,  # a slur goes over the division (GPR 2a)
    "leap": 1.05,  # interval from the last note, in octaves up to one (GPR 3a)
}
SPLIT_NOTE_BY_SPAN = {
    "pause": 0.47,
    "upbeat": 0.3,  # after a longer note, before one on a stronger place
}
SPLIT_PLACE = {
    "strongest": 0.59,  # no place in the span is stronger, pairs, fours and eights of bars counted
    "asymmetry": -0.67,  # squared log2 of the ratio of the halves (GPR 5)
    "parallel rhythm by span": 0.57,  # share of onsets that the halves have in common (GPR 6)
    "parallel tune": 1.21,  # share of onsets and intervals in common (GPR 6)
}

# Which head is kept, for a feature of the first half's head less that of the second's
HEAD_NOTE = {
    "metre": 0.82,  # metrical level up to the bar (TSRPR 1)
    "hypermetre": 1.36,  # begins every fourth bar (TSRPR 1)
    "length": 1.1,  # log2 of the time to the next onset (TSRPR 1, with MPR 5a)
    "stepwise": -0.64,  # approached and left by step as passing and neighbour notes are (TSRPR 4)
    "approached by step": 0.5,  # as a resolution is (TSRPR 4)
    "semitone down": -0.17,  # left by a semitone downwards, as a suspension is (TSRPR 4)
    "leading note": 0.28,  # (TSRPR 2)
    "shorter than the next": -0.65,  # (TSRPR 1, with MPR 5a)
    "rest": -0.49,  # a rest follows
    "slur end": 0.16,  # the last under a slur
    "last": 1.48,  # the line's last note (TSRPR 7, cadential retention)
}
HEAD_NOTE_BY_SPAN = {
    "metre": -0.21,
    "length": -0.27,
    "tonic": 0.32,  # the first degree of the key (TSRPR 2 and 6)
}
# and what speaks for the first half whatever its head (TSRPR 8, structural beginning)
HEAD_HALVES = {
    "first half": 1.05,
    "by span": -0.59,
    "at the line's start, by span": 0.57,
    "at the line's end": -1.65,
    "longer half": 0.35,  # log2 of the ratio of the halves
    "parallel rhythm by span": 0.36,  # share of onsets that the halves have in common (TSRPR 3)
}
# or for it in view of both heads
HEAD_PAIR = {
    "step apart": -1.08,  # the second resolves the first (TSRPR 4)
    "second begins its half, by span": 0.49,
    "second ends its half": -0.58,  # (TSRPR 7)
}

CHORD_TONE = 1.5
