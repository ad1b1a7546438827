"""What else is known of each pitch class in a stretch: how its notes move, and whether it sounds beside it.

These say little by themselves; mixtures of cues (``mixtures.py``) weigh them together with the tables of a stretch.
"""

from __future__ import annotations

import numpy as np

from sitegen.analysis.harmony.chords import Floats
from sitegen.analysis.harmony.evidence import BY_MOTION, Evidence
from sitegen.analysis.harmony.grid import Grid
from sitegen.analysis.harmony.motions import KINDS
from sitegen.analysis.harmony.ranges import Ranges

SURROUNDINGS = ("beat before", "beat after", "accented", "passing", "left by leap", "left by step")
"""Of each pitch class: its time in the beat before and after as a share of the beat; the time of its notes that are
accented, come to and left by step, left by leap, or left by step, as a share of the stretch."""
_MOST = 2.0
"""Several notes of one pitch class sound at once: their times are summed up to twice the stretch's."""
_ACCENTED = [place for place, _ in enumerate(KINDS)]
_PASSING = [place for place, kind in enumerate(2 * KINDS) if kind == "step-step"]
_LEFT_BY_LEAP = [place for place, kind in enumerate(2 * KINDS) if kind.endswith("-leap")]
_LEFT_BY_STEP = [place for place, kind in enumerate(2 * KINDS) if kind.endswith("-step")]


def surroundings_of(grid: Grid, evidence: Evidence, ranges: Ranges) -> Floats:
    """Stretches by ``SURROUNDINGS`` and pitch class."""
    start, stop = ranges.start, ranges.stop
    before, after = _beats_around(grid, evidence)
    beats = (grid.edges[stop] - grid.edges[start]) / grid.beat[start]
    moving = ranges.summed(evidence.time[:, :, :BY_MOTION]) / beats[:, None, None]
    return np.stack(
        [
            np.minimum(before[start], _MOST),
            np.minimum(after[stop], _MOST),
            *(
                np.minimum(moving[:, :, kinds].sum(axis=2), _MOST)
                for kinds in (_ACCENTED, _PASSING, _LEFT_BY_LEAP, _LEFT_BY_STEP)
            ),
        ],
        axis=1,
    )


def _beats_around(grid: Grid, evidence: Evidence) -> tuple[Floats, Floats]:
    """At each boundary the time of each pitch class in the beat before and in the beat after, in beats."""
    running = np.concatenate([np.zeros((1, 12)), np.cumsum(evidence.sounding, axis=0)])
    beat = np.append(grid.beat, grid.beat[-1])
    earlier = np.searchsorted(grid.edges, grid.edges - beat)
    later = np.minimum(np.searchsorted(grid.edges, grid.edges + beat), len(grid))
    return (running - running[earlier]) / beat[:, None], (running[later] - running) / beat[:, None]
