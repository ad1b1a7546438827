"""The bass sounds on through the chords that answer it.

In a waltz, march or stride bass the low note is struck alone and the chord above it follows. The lowest note of that
chord is no new bass: the ear keeps the low note until another is struck (Kostka and Payne, *Tonal Harmony*, "Inversions
of chords": an arpeggiated bass is heard as its lowest note).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from sitegen.analysis.nouns import Harmony
from sitegen.score import Note, Score


def keep_the_bass(score: Score, harmonies: Sequence[Harmony]) -> tuple[Harmony, ...]:
    """``harmonies`` without changes of bass alone that an after-beat makes: such a change waits for the next bar line,
    or is none where the harmony ends before it. Pitch classes, roots and keys stay as they are.
    """
    notes = sorted(score.sounding(), key=lambda n: (n.onset, n.midi))
    onsets = [n.onset for n in notes]
    found: list[Harmony] = []
    for harmony in harmonies:
        before = found[-1] if found else None
        if before is None or not _is_afterbeat(score, notes, onsets, before, harmony):
            found.append(harmony)
            continue
        bar_end = score.bar_at(harmony.onset).end
        found[-1] = replace(before, duration=min(bar_end, harmony.end) - before.onset)
        if harmony.end > bar_end:
            found.append(replace(harmony, onset=bar_end, duration=harmony.end - bar_end))
    return tuple(found)


def _is_afterbeat(
    score: Score, notes: Sequence[Note], onsets: Sequence[int], before: Harmony, harmony: Harmony
) -> bool:
    bar = score.bar_at(harmony.onset)
    same = before.pitch_classes == harmony.pitch_classes and before.key == harmony.key
    if not same or before.bass == harmony.bass or harmony.onset == bar.onset or not harmony.pitch_classes:
        return False
    first = notes[bisect_left(onsets, max(before.onset, bar.onset)) : bisect_left(onsets, harmony.onset)]
    then = notes[bisect_left(onsets, harmony.onset) : bisect_left(onsets, min(harmony.end, bar.end))]
    basses = [n for n in first if n.pitch.pitch_class == before.bass]
    answers = [n for n in then if n.pitch.pitch_class == harmony.bass]
    if not basses or not answers:
        return False
    bass, answer = min(basses, key=lambda n: n.midi), min(answers, key=lambda n: n.midi)
    return answer.midi > bass.midi and _together(first, bass) == 1 and _together(then, answer) > 1


def _together(notes: Sequence[Note], one: Note) -> int:
    """How many notes the staff of ``one`` strikes with it, itself included."""
    return sum(1 for n in notes if n.onset == one.onset and n.staff == one.staff)
