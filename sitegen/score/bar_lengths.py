"""How long a bar is whose voices do not agree, and what becomes of a note that overruns it.

A bar that no voice carries beyond its metre is as long as its notes and rests, up to a full one. Where one does:

1. A voice that fills the metre exactly, from the bar line on and without a gap, says that the bar is a full one; else
   the length that most such voices share says it; else the longest.
2. A voice that strikes a note at that end or after it is music, not a slip of the pen (a cadenza over a held bass):
   then the bar is as long as that voice.
3. What only sounds or rests beyond the end is cut there. So no note is lost.

The bar is odd where a voice ends elsewhere than the bar does. One whose voices all run on together is only long.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

ROUNDING = Fraction(1, 96)
"""Quarter notes: what an exporter's rounding can come to within a bar."""


@dataclass(slots=True)
class VoiceReach:
    """One voice of a bar, in quarters from the bar line: where its last note or visible rest ends, where its last note
    is struck (None without one), whether nothing is missing before that end."""

    end: Fraction = Fraction(0)
    struck: Fraction | None = None
    whole: bool = True

    def goes_on(self, onset: Fraction, length: Fraction, sounds: bool) -> None:
        """Add a note or a visible rest."""
        self.whole = self.whole and abs(onset - self.end) <= ROUNDING
        self.end = max(self.end, onset + length)
        if sounds:
            self.struck = max(self.struck or onset, onset)


def overrun_length(voices: Sequence[VoiceReach], full: Fraction) -> tuple[Fraction, bool]:
    """The length of a bar that a voice carries beyond ``full`` (quarters of its metre), and whether it is odd."""
    longest = max(voice.end for voice in voices)
    singing = [voice for voice in voices if voice.struck is not None]
    whole = [voice.end for voice in singing if voice.whole]
    shared = Counter(whole)
    if any(abs(end - full) <= ROUNDING for end in whole):
        agreed = full
    else:
        agreed = max((end for end in whole if shared[end] > 1), key=lambda end: (shared[end], end), default=longest)
    late = [v.end for v in singing if v.struck is not None and v.struck >= agreed - ROUNDING]
    length = min(longest, max([agreed, *late]))
    return length, any(abs(voice.end - length) > ROUNDING for voice in voices if voice.whole or voice.end > length)
