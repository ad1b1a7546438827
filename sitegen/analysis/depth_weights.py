"""The weights of ``depth.py``, few enough to read. How they were come by:

``SPLIT`` and ``HEAD`` were fitted by ``tests/benchmarks/fit_depth.py`` on hand-made time-span trees of 54 tunes:
conditional logit for where a span divides, logistic regression for which half's head wins, L2 penalty 1, rounded to
two decimals. The features are preference rules of Lerdahl & Jackendoff (1983); a longer list of them (60) was no better
on tunes left out (nine folds), nor was counting bars from the beginning of each phrase, nor a rule for the last notes
of phrases. The trees are not part of this project; only these numbers come from them.

``CHORD_TONE`` is set from the theory (TSRPR 2, a consonant note is preferred), not fitted: the tunes have no chords.
"""

from __future__ import annotations

# Where a span divides, for the note that begins the second half
SPLIT = {
    "metre": 0.5,  # metrical level, less the strongest in the span (ch. 7: spans follow the metre)
    "pause": 0.76,  # log2 of the time since the last onset, against the longest such in the span (GPR 2b)
    "symmetry": -0.77,  # squared log2 of the ratio of the halves (GPR 5)
}

# Which head is kept, for a feature of the first half's less that of the second's
HEAD = {
    "metre": 0.76,  # metrical level up to the bar (TSRPR 1)
    "metre x span": -0.25,  # the same, times the span's length (log2 of quarters, from -1 to 4)
    "hypermetre": 1.64,  # begins every fourth bar (TSRPR 1)
    "length": 0.82,  # log2 of the time to the next onset (TSRPR 1, with MPR 5a)
    "tonic": 0.32,  # the first degree of the key (TSRPR 2 and 4)
    "triad": 0.16,  # the third or fifth degree
    "stepwise": -0.39,  # approached and left by step as passing and neighbour notes are (TSRPR 4)
    "slur end": 0.52,  # the last under a slur
    "last": 2.4,  # the line's last note (TSRPR 7, cadential retention)
    # and what speaks for the first half whatever its head (TSRPR 8, structural beginning)
    "first half": 0.12,
    "first half x span": 0.23,
    "first half at the end": -2.03,  # where the span reaches to the line's end
}

CHORD_TONE = 1.5
