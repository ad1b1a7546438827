"""The bass sounds on through the chords that answer it, and through the figure that it begins.

In a waltz, march or stride bass the low note is struck alone and the chord above it follows. The lowest note of that
chord is no new bass: the ear keeps the low note until another is struck (Kostka and Payne, *Tonal Harmony*, "Inversions
of chords": an arpeggiated bass is heard as its lowest note). So it does in an Alberti bass, lowest, highest, middle,
highest: the middle note falls on a beat, but is no bass.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from sitegen.analysis.nouns import Harmony
from sitegen.analysis.reasons import TEACHERS_READING
from sitegen.score import Note, Score


def keep_the_bass(score: Score, harmonies: Sequence[Harmony]) -> tuple[Harmony, ...]:
    """``harmonies`` without changes of bass alone that an after-beat or the middle of a figure makes: such a change
    waits for the next bar line or the figure's end, or is none where the harmony ends before it. Pitch classes, roots
    and keys stay as they are, and so does a chord that the teacher gave.
    """
    notes = sorted(score.sounding(), key=lambda n: (n.onset, n.midi))
    onsets = [n.onset for n in notes]
    found: list[Harmony] = []
    for harmony in harmonies:
        before = found[-1] if found else None
        waits = None if before is None else _waits_until(score, notes, onsets, before, harmony)
        if before is None or waits is None:
            found.append(harmony)
            continue
        found[-1] = replace(before, duration=min(waits, harmony.end) - before.onset)
        if harmony.end > waits:
            found.append(replace(harmony, onset=waits, duration=harmony.end - waits))
    return tuple(_joined(found))


def _joined(harmonies: Sequence[Harmony]) -> list[Harmony]:
    """Neighbours that say the same, made one."""
    found: list[Harmony] = []
    for harmony in harmonies:
        if (
            found
            and not _is_said(found[-1], harmony)
            and replace(found[-1], onset=0, duration=0, reasons=()) == replace(harmony, onset=0, duration=0, reasons=())
        ):
            found[-1] = replace(found[-1], duration=harmony.end - found[-1].onset)
        else:
            found.append(harmony)
    return found


def _is_said(*harmonies: Harmony) -> bool:
    return any(harmony.reasons == TEACHERS_READING for harmony in harmonies)


def _waits_until(
    score: Score, notes: Sequence[Note], onsets: Sequence[int], before: Harmony, harmony: Harmony
) -> int | None:
    """The tick up to which the bass of ``before`` sounds on into ``harmony``; None if it does not."""
    if _is_said(before, harmony):
        return None
    same = before.pitch_classes == harmony.pitch_classes and before.key == harmony.key
    if not same or before.bass == harmony.bass or not harmony.pitch_classes:
        return None
    if _is_afterbeat(score, notes, onsets, before, harmony):
        return score.bar_at(harmony.onset).end
    return _end_of_figure(notes, onsets, before, harmony)


def _end_of_figure(notes: Sequence[Note], onsets: Sequence[int], before: Harmony, harmony: Harmony) -> int | None:
    """Where the Alberti figure ends whose middle note ``harmony`` begins with; None if there is none."""
    place = bisect_left(onsets, harmony.onset)
    if place == len(notes) or notes[place].onset != harmony.onset:
        return None
    middle = notes[place]
    first = bisect_left(onsets, middle.onset - 4 * middle.duration)
    last = bisect_left(onsets, middle.onset + 4 * middle.duration)
    line = [n for n in notes[first:last] if n.home_staff == middle.home_staff]
    place = line.index(middle)
    if not 2 <= place < len(line) - 1:
        return None
    low, top, _, again = line[place - 2 : place + 2]
    even = top.onset - low.onset == middle.onset - top.onset == again.onset - middle.onset > 0
    figure = low.midi < middle.midi < top.midi == again.midi
    return again.end if even and figure and low.pitch.pitch_class == before.bass else None


def _is_afterbeat(
    score: Score, notes: Sequence[Note], onsets: Sequence[int], before: Harmony, harmony: Harmony
) -> bool:
    bar = score.bar_at(harmony.onset)
    if harmony.onset == bar.onset:
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
