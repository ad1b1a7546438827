"""What may be said of a kind of stage, the most telling first: lists of remarks that techniques have in common."""

from __future__ import annotations

from collections.abc import Callable

from sitegen.reduction.nouns import Sentence
from sitegen.reduction.remarks import additions, bass, chords, counterpoint, leaning, lines, returns
from sitegen.reduction.remarks.shown import Shown

Remark = Callable[[Shown], list[Sentence]]
Remarks = tuple[Remark, ...]

BASS: Remarks = (
    bass.steps, bass.semitones, bass.outsider, bass.pedal, bass.leap, bass.quickening, bass.homecoming,
)  # fmt: skip
OUTER: Remarks = (lines.outer_contrary, lines.outer_parallels, lines.furthest, lines.closest)
TUNE: Remarks = (lines.melody_steps, lines.highest, lines.leap)
HARMONY: Remarks = (
    chords.one_moves, chords.kept, chords.outsider, chords.cadence, chords.quickening, chords.new_key,
)  # fmt: skip
HYMN: Remarks = (chords.outsider, chords.cadence, chords.quickening, chords.new_key, *TUNE)
POSITIONS: Remarks = (
    chords.one_moves, chords.kept, chords.stretch, chords.travels, chords.outsider, chords.quickening,
)  # fmt: skip
LEANING: Remarks = (leaning.leaning, *TUNE)
COMPLETE: Remarks = (additions.ornaments, additions.passing, additions.small_notes, leaning.leaning, *TUNE)
WRITTEN: Remarks = (
    counterpoint.answer, additions.broken_again, additions.ornaments, additions.small_notes,
    returns.busiest,
)  # fmt: skip
INNER: Remarks = (lines.inner_contrary, lines.inner_moves, lines.inner_parallels, lines.inner_steps)
PAIR: Remarks = (counterpoint.exchange,)  # of inner voices none is the melody, and none the bass
ALONE: Remarks = (counterpoint.opening, lines.voice_steps, lines.voice_leap)
ANY: Remarks = (returns.beginning, returns.twins, chords.cadence, returns.busiest)
