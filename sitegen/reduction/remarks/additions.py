"""Remarks on what a stage has that the stage before had not."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from itertools import groupby

from sitegen.reduction.nouns import Sentence
from sitegen.reduction.remarks.leaning import leaning_notes
from sitegen.reduction.remarks.shown import Shown, Struck
from sitegen.reduction.remarks.wording import MOST_BARS, bar_of, listed, name, say

SIGNS = {"trill": "trill", "mordent": "mordent", "inverted-mordent": "mordent", "turn": "turn"}
LEAST_STROKES = 3


def ornaments(shown: Shown) -> list[Sentence]:
    """The trills, turns and mordents that are new."""
    if shown.before is None:
        return []
    had = {note.sources[0] for note in shown.before.notes if note.ornaments}
    notes = [n for n in shown.notes if n.sources[0] not in had and any(sign in SIGNS for sign in n.ornaments)]
    bars = list(dict.fromkeys(bar_of(shown.material, n.onset) for n in notes))
    found = [say("ornaments", bars=listed(bars))] if 1 < len(bars) <= MOST_BARS else []
    for note in notes:
        sign = next(SIGNS[sign] for sign in note.ornaments if sign in SIGNS)
        found.append(say("ornament", sign=sign, note=name(note.pitch), bar=bar_of(shown.material, note.onset)))
    return found


def small_notes(shown: Shown) -> list[Sentence]:
    """The grace notes that are new."""
    if shown.before is None:
        return []
    bars = list(dict.fromkeys(bar_of(shown.material, n.onset) for n in shown.new if n.grace))
    if len(bars) == 1:
        return [say("small notes in bar", bar=bars[0])]
    return [say("small notes", bars=listed(bars))] if bars and len(bars) <= MOST_BARS else []


def passing(shown: Shown) -> list[Sentence]:
    """The passing notes of the melody that are new, by their bars or the first of them; none that leans, for that is
    not played lightly."""
    if shown.before is None:
        return []
    new = {note.id for note in shown.new} - {lean.note.id for lean in leaning_notes(shown)}
    notes = [
        note
        for before, note, after in zip(shown.melody, shown.melody[1:], shown.melody[2:], strict=False)
        if note.id in new
        and note.pitch.diatonic - before.pitch.diatonic == after.pitch.diatonic - note.pitch.diatonic in (1, -1)
        and shown.foreign(note)
    ]
    bars = list(dict.fromkeys(bar_of(shown.material, n.onset) for n in notes))
    if len(bars) == 1:
        return [say("passing notes in bar", bar=bars[0])]
    return [say("passing notes", bars=listed(bars))] if bars and len(bars) <= MOST_BARS else []


def broken_again(shown: Shown) -> list[Sentence]:
    """The first chord of the stage before that a hand now plays note by note, or bass first and chord after."""
    if shown.before is None:
        return []
    for hand in ("left", "right"):
        strikes = list(shown.of_hand(hand))
        onsets = [struck.onset for struck in strikes]
        for chord in _chords_before(shown, hand):
            end = min(shown.material.score.bar_at(chord.onset).end, *(note.end for note in chord.notes))
            now = strikes[bisect_left(onsets, chord.onset) : bisect_left(onsets, end)]
            pitches = {note.midi for struck in now for note in struck.notes}
            if len(now) < LEAST_STROKES or not pitches >= {note.midi for note in chord.notes}:
                continue
            bar = bar_of(shown.material, chord.onset)
            if all(len(struck.notes) == 1 for struck in now):
                return [say(f"{hand} hand broken", bar=bar)]
            if len(now[0].notes) == 1 and all(len(struck.notes) > 1 for struck in now[1:]):
                return [say(f"{hand} hand apart", bar=bar)]
    return []


def _chords_before(shown: Shown, hand: str) -> Iterator[Struck]:
    """What a hand strikes together in the stage before, two notes or more."""
    played = [n for n in shown.before.notes if not n.grace and shown.hand(n) == hand] if shown.before else []
    for onset, notes in groupby(sorted(played, key=lambda n: (n.onset, n.midi)), key=lambda n: n.onset):
        chord = Struck(onset, tuple(notes))
        if len(chord.notes) > 1:
            yield chord
