"""Remarks on the chords of a stage."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

from sitegen.analysis.form import HALF, WITH_ARTICLE
from sitegen.reduction.nouns import Sentence, StageNote
from sitegen.reduction.remarks.shown import CHORD, Shown, Struck
from sitegen.reduction.remarks.wording import bar_of, interval, key_name, name, only, outside, over_bars, say

LEAST_CHANGES, LEAST_KEPT, LEAST_KEY, LEAST_MOVE, LEAST_STRETCH = 3, 4, 4, 7, 7


def outsider(shown: Shown) -> list[Sentence]:
    """The first note of the chords that the key signature does not have."""
    bars = shown.material.score.bars
    for chord in shown.chords:
        for note in chord.notes:
            if outside(note.pitch, bars[shown.bar(note)]):
                return [say("outside", note=name(note.pitch, signed=True), bar=bar_of(shown.material, note.onset))]
    return []


def quickening(shown: Shown) -> list[Sentence]:
    """The bar that has more different chords than any before it, three or more. Two notes of different names are heard
    as a chord, too."""
    names: dict[int, set[frozenset[int]]] = defaultdict(set)
    for chord in shown.accompaniment:
        if len(chord.names) > 1:
            names[shown.bar(chord.notes[0])].add(chord.names)
    most = max(map(len, names.values()), default=0)
    bar = next((index for index, found in sorted(names.items()) if len(found) == most), 0)
    if most < LEAST_CHANGES or bar == min(names):
        return []
    return [say("chords change", bar=bar_of(shown.material, shown.material.score.bars[bar].onset), count=str(most))]


def one_moves(shown: Shown) -> list[Sentence]:
    """Where one note of a chord moves by step and the others are struck again, or stay."""
    found = []
    for one, other in pairwise(shown.chords):
        left = [n for n in one.notes if n.midi not in {m.midi for m in other.notes}]
        come = [n for n in other.notes if n.midi not in {m.midi for m in one.notes}]
        if len(left) == len(come) == 1 and abs(left[0].pitch.diatonic - come[0].pitch.diatonic) == 1:
            fields = {"first": name(left[0].pitch), "last": name(come[0].pitch)}
            found.append(over_bars(shown.material, "one note moves", one.onset, other.onset, **fields))
    return found


def kept(shown: Shown) -> list[Sentence]:
    """The note that all chords of most chords in a row have, in whole bars without a bar of rest between them, if four
    of the chords or more are different. What is struck in two is looked at too: there the finger must stay as well."""
    best: tuple[int, int, int, StageNote] | None = None
    since: dict[int, int] = {}
    bars = _struck_by_bar(shown)
    for index, struck in bars.items():
        in_all = set.intersection(*({note.midi for note in one.notes} for one in struck))
        since = {midi: since.get(midi, index) if index - 1 in bars else index for midi in in_all}
        for midi, start in sorted(since.items()):
            row = [one for bar in range(start, index + 1) for one in bars[bar] if len(one.notes) >= CHORD]
            if len({one.names for one in row}) >= LEAST_KEPT and (best is None or len(row) > best[0]):
                best = (len(row), start, index, next(note for note in struck[0].notes if note.midi == midi))
    if best is None:
        return []
    _, start, index, note = best
    return [
        over_bars(shown.material, "finger stays", bars[start][0].onset, bars[index][0].onset, note=name(note.pitch))
    ]


def _struck_by_bar(shown: Shown) -> dict[int, list[Struck]]:
    """What is struck in twos and more besides the tune, by the index of its bar, in order."""
    found: dict[int, list[Struck]] = defaultdict(list)
    for one in shown.accompaniment:
        if len(one.notes) > 1:
            found[shown.bar(one.notes[0])].append(one)
    return dict(found)


def stretch(shown: Shown) -> list[Sentence]:
    """The widest chord of each hand, if there is one widest and it is a sixth or more."""
    found = []
    for hand in ("left", "right"):
        chords = [chord for chord in shown.of_hand(hand) if len(chord.notes) > 1]
        low = only((_width(chord), chord.notes[0]) for chord in chords)
        widest = next((chord for chord in chords if chord.notes[0] is low), None)
        if low is not None and widest is not None and _width(widest) > LEAST_STRETCH:
            wide = interval(low.pitch, widest.notes[-1].pitch)
            fields = {"note": name(low.pitch), "bar": bar_of(shown.material, low.onset)}
            found += [say(f"{hand} hand stretches", interval=wide, **fields)] if wide else []
    return found


def travels(shown: Shown) -> list[Sentence]:
    """Where the chords of the left hand move furthest from one to the next, if in one place and a fifth or more."""
    chords = [chord for chord in shown.of_hand("left") if len(chord.notes) > 1]
    moves = [(abs(a.notes[0].midi - b.notes[0].midi), b.notes[0]) for a, b in pairwise(chords)]
    furthest = only(moves)
    if furthest is None or max(moves, key=lambda move: move[0])[0] < LEAST_MOVE:
        return []
    return [say("left hand travels", bar=bar_of(shown.material, furthest.onset), note=name(furthest.pitch))]


def new_key(shown: Shown) -> list[Sentence]:
    """Where the music first stands in another key than at the beginning, for four bars or more."""
    named = [h for h in shown.material.analysis.harmonies if h.key]
    place = next((i for i, h in enumerate(named) if h.key != named[0].key), None)
    if place is None:
        return []
    start, key = named[place], named[place].key or ""
    end = next((h.onset for h in named[place:] if h.key != key), shown.material.score.end)
    bars = shown.material.score
    if bars.bar_at(end - 1).index - bars.bar_at(start.onset).index + 1 < LEAST_KEY:
        return []
    return [say("new key", bar=bar_of(shown.material, start.onset), key=key_name(key))]


def cadence(shown: Shown) -> list[Sentence]:
    """How phrases close whose last chord the stage sounds with its outer notes, half cadences first."""
    closed = [p for p in shown.material.analysis.phrases if p.cadence and _is_heard(shown, p.onset, p.end)]
    return [
        say("question", bar=bar_of(shown.material, p.end - 1))
        if p.cadence == HALF
        else say("cadence", bar=bar_of(shown.material, p.end - 1), cadence=WITH_ARTICLE[p.cadence])
        for p in sorted(closed, key=lambda p: p.cadence != HALF)
    ]


def _is_heard(shown: Shown, onset: int, end: int) -> bool:
    """Whether a stage has the names of the lowest and the highest note that the score sounds where the last harmony of
    a stretch begins: one voice, or a hand alone, closes nothing that could be heard."""
    material = shown.material
    start = max((h.onset for h in material.harmonies_in(onset, end)), default=onset)
    written = [n.midi for staff in material.score.staves for n in material.sounding_at(staff.number, start)]
    heard = {n.midi % 12 for n in shown.notes if n.onset <= start < n.end}
    return not written or {min(written) % 12, max(written) % 12} <= heard


def _width(chord: Struck) -> int:
    return chord.notes[-1].midi - chord.notes[0].midi
