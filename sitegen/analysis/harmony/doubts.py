"""Where no harmony is found: music that fits no chord better than many others.

The search always has a best reading; here it is asked whether that reading means anything. In the annotated pieces
the belief in the chosen chords, averaged over eight bars, is never below one half; in twelve-tone rows it mostly is,
and there all twelve pitch classes sound about equally long.
"""

from __future__ import annotations

import numpy as np

from sitegen.analysis.harmony.beliefs import Beliefs
from sitegen.analysis.harmony.choosing import SAME_CHORD
from sitegen.analysis.harmony.chords import Floats, Ints
from sitegen.analysis.harmony.evidence import Evidence
from sitegen.analysis.harmony.grid import Grid

_BARS = 8
_SURE = 0.5
_SURE_AMID_ALL_TWELVE = 0.7
_SHARE_OF_EACH = 0.035
_FEWEST_TONES = 3


def doubtful(grid: Grid, evidence: Evidence, beliefs: Beliefs, chords: Ints) -> Floats:
    """1 for each atom in whose surroundings no harmony is to be found, else 0.

    Surroundings are eight bars. They need three different pitch classes, belief in the chords chosen, and, where all
    twelve pitch classes sound about equally, more belief than elsewhere.
    """
    ticks = np.diff(grid.edges)
    belief = (beliefs.chord * SAME_CHORD[chords]).sum(axis=1)
    out = np.zeros(len(grid))
    first = np.searchsorted(grid.bar, np.arange(int(grid.bar[-1]) + 2))
    bars = len(first) - 1
    for bar in range(bars):
        low = max(0, min(bar - _BARS // 2, bars - _BARS))
        span = slice(int(first[low]), int(first[min(bars, low + _BARS)]))
        sounding = evidence.sounding[span].sum(axis=0)
        heard = evidence.sounding[span].any(axis=1) * ticks[span]
        sure = float((belief[span] * heard).sum() / heard.sum()) if heard.any() else 1.0
        flat = float(sounding.min()) >= _SHARE_OF_EACH * float(sounding.sum())
        needed = _SURE_AMID_ALL_TWELVE if flat else _SURE
        if heard.any() and ((sounding > 0).sum() < _FEWEST_TONES or sure < needed):
            out[first[bar] : first[bar + 1]] = 1
    return out
