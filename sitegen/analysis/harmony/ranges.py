"""All stretches of atoms between two joints, and what is summed or lowest over each of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitegen.analysis.harmony.chords import Floats, Ints


@dataclass(frozen=True, slots=True)
class Ranges:
    """Stretches sorted by ``stop``, then ``start`` (atoms, ``stop`` outside)."""

    start: Ints
    stop: Ints

    def summed(self, table: Floats) -> Floats:
        """The sum over each stretch of a table by atom."""
        running = np.concatenate([np.zeros((1, *table.shape[1:])), np.cumsum(table, axis=0)])
        out: Floats = running[self.stop] - running[self.start]
        return out

    def lowest(self, by_atom: Ints) -> Ints:
        """The lowest over each stretch of numbers by atom."""
        out = by_atom[self.start].copy()
        for shift in range(1, int((self.stop - self.start).max(initial=0))):
            reach = self.start + shift < self.stop
            out[reach] = np.minimum(out[reach], by_atom[self.start[reach] + shift])
        return out


def ranges_between(joint: Ints) -> Ranges:
    """Every stretch that crosses no joint; ``joint`` is true for each atom that begins after one."""
    starts: list[int] = []
    stops: list[int] = []
    span = 0
    for atom in range(len(joint)):
        if joint[atom]:
            span = atom
        starts += range(span, atom + 1)
        stops += [atom + 1] * (atom + 1 - span)
    return Ranges(np.array(starts, dtype=np.int64), np.array(stops, dtype=np.int64))
