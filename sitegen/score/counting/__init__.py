"""The notes of a source counted a second time, bar by bar, by a reader of its own for each format.

What is read is compared with it, so that no note is lost in silence. A counter shares no code with the reading: it
takes the text as it stands in the file, and knows of its format only what a note and a bar are. It counts noteheads
with a pitch that can be read: a tied continuation, a grace, a cue and a note that is not printed are heads like others;
rests, percussion, chord symbols, and in MEI what is struck out or only another reading, are none.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sitegen.score.counting.abc import count_abc
from sitegen.score.counting.humdrum import count_humdrum
from sitegen.score.counting.mei import count_mei
from sitegen.score.counting.musicxml import count_musicxml

COUNTERS: dict[str, Callable[[str], tuple[int, ...]]] = {
    "musicxml": count_musicxml,
    "mei": count_mei,
    "humdrum": count_humdrum,
    "abc": count_abc,
}


@dataclass(frozen=True, slots=True)
class Difference:
    """Where two counts part: the bar's index, the noteheads the file has there and those that were read, and the whole
    of both."""

    bar: int
    counted: int
    read: int
    all_counted: int
    all_read: int

    def told(self) -> str:
        """The difference as a sentence's first half."""
        one = (
            f"the file has {_notes(self.counted)} in this bar and {self.read} {'is' if self.read == 1 else 'are'} read"
        )
        if self.all_counted == self.all_read:
            return f"{one}; others stand in another bar than in the file"
        return f"{one} (in all {self.all_read} of {self.all_counted}); this is the first bar that differs"


def first_difference(counted: Sequence[int], read: Sequence[int]) -> Difference | None:
    """The first bar in which ``counted`` and ``read`` noteheads differ, None where they agree.

    Where the two have different bars, because a bar line was read as none, only the whole is compared.
    """
    totals = sum(counted), sum(read)
    if len(counted) == len(read):
        pairs = list(zip(counted, read, strict=True))
        found = next((k for k, (there, here) in enumerate(pairs) if there != here), None)
        return None if found is None else Difference(found, *pairs[found], *totals)
    if totals[0] == totals[1]:
        return None
    common = min(len(counted), len(read))
    place = next((k for k in range(common) if counted[k] != read[k]), max(0, len(read) - 1))
    there = counted[place] if place < len(counted) else 0
    return Difference(place, there, read[place] if place < len(read) else 0, *totals)


def _notes(count: int) -> str:
    return "1 note" if count == 1 else f"{count} notes"
