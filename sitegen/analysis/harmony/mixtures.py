"""What cues say together: a late seventh on the beat is one thing, a late seventh that passes is another.

The tables of a stretch weigh each cue by itself. A *mixture* sums cues of the tones above a supposed root, of how long
the stretch is and where it lies in the bar; it counts as far as its sum is above nothing, and then speaks for some
qualities of chord on that root and against others. (A network with one layer of rectified linear units, the same for
all twelve roots.)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np

from sitegen.analysis.harmony.chords import CHORDS, QUALITIES, Floats, Ints
from sitegen.analysis.harmony.grid import LEVELS
from sitegen.analysis.harmony.stretches import CROWD_NAMES, LENGTH_NAMES, TONE_TABLES, Stretches
from sitegen.analysis.harmony.surroundings import SURROUNDINGS

CUES = (*TONE_TABLES, *SURROUNDINGS)
_QUALITY_NAMES = tuple(quality.name for quality in QUALITIES)
_ROWS = 2048
"""Stretches are weighed by so many at a time, which keeps memory small."""
_ABOVE: Ints = np.array([[(root + interval) % 12 for interval in range(12)] for root in range(12)])


@dataclass(frozen=True, slots=True)
class Mixtures:
    """Weights of each mixture, which is the last axis but of ``speaks``: there it is the first, before qualities.

    ``cues`` are by ``CUES`` and semitones above the root; the rest by class of length and of onsets, and by the level
    of the metre at which the stretch starts and stops; ``always`` is there in any case.
    """

    cues: Floats
    length: Floats
    crowd: Floats
    starts: Floats
    stops: Floats
    always: Floats
    speaks: Floats

    def __len__(self) -> int:
        return len(self.always)


TABLES = tuple(field.name for field in fields(Mixtures))
_BY_LABEL = {"length": LENGTH_NAMES, "crowd": CROWD_NAMES, "starts": LEVELS, "stops": LEVELS}


def mixed(stretches: Stretches, mixtures: Mixtures) -> Floats:
    """What the mixtures add to the log score of each stretch by chord."""
    out = np.zeros((len(stretches.start), len(CHORDS)))
    if not len(mixtures):
        return out
    by_root = spread_over_roots(mixtures.cues)
    for low in range(0, len(out), _ROWS):
        rows = slice(low, low + _ROWS)
        out[rows] = by_chord(sums_above_nothing(stretches, mixtures, by_root, rows), mixtures)
    return out


def sums_above_nothing(stretches: Stretches, mixtures: Mixtures, by_root: Floats, rows: slice) -> Floats:
    """Each mixture's sum, as far as it is above 0: stretches by root and mixture. ``by_root`` are its cues, spread."""
    sums = (cues_of(stretches, rows) @ by_root).reshape(-1, 12, len(mixtures))
    starts, stops = np.divmod(stretches.frame[rows], len(LEVELS))
    own = (
        mixtures.length[stretches.length[rows]]
        + mixtures.crowd[stretches.crowd[rows]]
        + mixtures.starts[starts]
        + mixtures.stops[stops]
        + mixtures.always
    )
    sums += own[:, None, :]
    return np.maximum(sums, 0, out=sums)


def cues_of(stretches: Stretches, rows: slice) -> Floats:
    """A row for each stretch: ``CUES`` by pitch class."""
    tables = (stretches.tones[rows], stretches.around[rows])
    return np.concatenate([table.reshape(len(table), -1) for table in tables], axis=1)


def by_chord(sums: Floats, mixtures: Mixtures) -> Floats:
    """What the mixtures' sums speak for, stretches by chord."""
    spoken = sums.reshape(-1, len(mixtures)) @ mixtures.speaks
    out: Floats = spoken.reshape(len(sums), 12, len(QUALITIES)).transpose(0, 2, 1).reshape(len(sums), -1)
    return out


def spread_over_roots(cues: Floats) -> Floats:
    """Weights by cue, semitones above the root, and mixture, laid out by cue and pitch class, and root and mixture."""
    number, _, mixtures = cues.shape
    out = np.empty((number, 12, 12, mixtures))
    for root in range(12):
        out[:, _ABOVE[root], root] = cues
    return out.reshape(12 * number, 12 * mixtures)


def gathered_from_roots(gradient: Floats) -> Floats:
    """The transpose of ``spread_over_roots``."""
    table = gradient.reshape(len(CUES), 12, 12, -1)
    out: Floats = np.sum([table[:, _ABOVE[root], root] for root in range(12)], axis=0)
    return out


def mixtures_named(mixtures: Mixtures) -> list[dict[str, object]]:
    """Each mixture by label, rounded to thousandths: what the file holds. Cues are by semitones above the root."""
    found = []
    for place in range(len(mixtures)):
        tables: dict[str, object] = {
            name: dict(zip(labels, _rounded(getattr(mixtures, name)[:, place]), strict=True))
            for name, labels in _BY_LABEL.items()
        }
        cues = {cue: _rounded(mixtures.cues[row, :, place]) for row, cue in enumerate(CUES)}
        speaks = dict(zip(_QUALITY_NAMES, _rounded(mixtures.speaks[place]), strict=True))
        always = round(float(mixtures.always[place]), 3)
        found.append({"cues": cues, **tables, "always": always, "speaks": speaks})
    return found


def _rounded(values: Floats) -> list[float]:
    return [round(float(value), 3) for value in values]


def mixtures_from_named(data: Sequence[Mapping[str, Mapping[str, float]]]) -> Mixtures:
    """The inverse of ``mixtures_named``. Raises ``KeyError`` for a table or a label that is missing."""
    tables = {
        name: np.array([[one[name][label] for label in labels] for one in data]).T for name, labels in _BY_LABEL.items()
    }
    return Mixtures(
        cues=np.array([[one["cues"][cue] for cue in CUES] for one in data]).transpose(1, 2, 0),
        always=np.array([one["always"] for one in data]),
        speaks=np.array([[one["speaks"][name] for name in _QUALITY_NAMES] for one in data]),
        **tables,
    )
