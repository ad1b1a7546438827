"""From the notes of one staff in one bar to voices: chords first, then as few voices as overlapping asks for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from sitegen.score import Pitch

#: Voices of a staff: one with stems up, one with stems down.
MOST_VOICES = 2
OCTAVE = 12
#: How many ties a bar may get so that two voices are one; more would be harder to read than a third stem.
MOST_TIES = 3


@dataclass(frozen=True, slots=True)
class Head:
    """A note to be written: one pitch of a chord. ``tied_from`` and ``tied_to`` say that a tie comes in or goes on,
    ``small`` that it is written in cue size."""

    id: str
    pitch: Pitch
    tied_from: bool = False
    tied_to: bool = False
    small: bool = False


@dataclass(frozen=True, slots=True)
class Chord:
    """Heads struck together at ``onset`` for ``duration`` ticks, from low to high; ``voice`` is a wish, 0 for none.

    ``closes`` is the index of the bar that a grace stands at the end of, None for all others;
    ``together`` names the chord that graces are struck in, empty for one alone.
    """

    onset: int
    duration: int
    heads: tuple[Head, ...]
    grace: bool = False
    rolled: bool = False
    ornaments: tuple[str, ...] = ()
    voice: int = 0
    closes: int | None = None
    together: str = ""

    @property
    def end(self) -> int:
        return self.onset + self.duration

    @property
    def top(self) -> int:
        return self.heads[-1].pitch.midi

    def cut(self, start: int, end: int) -> Chord:
        """The part of the chord between two ticks, with ties where it is cut."""
        first, last = self.onset >= start, self.end <= end
        if first and last:
            return self
        heads = tuple(replace(h, tied_from=h.tied_from or not first, tied_to=h.tied_to or not last) for h in self.heads)
        onset = max(self.onset, start)
        ornaments = self.ornaments if first else ()
        return replace(
            self, onset=onset, duration=min(self.end, end) - onset, heads=heads, rolled=self.rolled and first,
            ornaments=ornaments,
        )  # fmt: skip


def gather_chords(items: Iterable[Chord]) -> list[Chord]:
    """Join the notes of one staff that begin and end together (and wish for the same voice) into chords.

    Two heads on one staff place stay apart, so that a unison is drawn with two stems. Graces follow each other; only
    those of one written chord are joined.
    """
    graces: list[Chord] = []
    groups: dict[tuple[int, int, int], list[list[Chord]]] = defaultdict(list)
    for item in items:
        if item.grace:
            if graces and item.together and graces[-1].together == item.together:
                together = sorted((*graces[-1].heads, *item.heads), key=lambda h: h.pitch.midi)
                graces[-1] = replace(graces[-1], heads=tuple(together))
            else:
                graces.append(item)
            continue
        layers = groups[item.onset, item.duration, item.voice]
        pitches = {h.pitch.diatonic for h in item.heads}
        for layer in layers:
            if not pitches & {h.pitch.diatonic for c in layer for h in c.heads}:
                layer.append(item)
                break
        else:
            layers.append([item])
    chords = graces
    for layers in groups.values():
        for members in layers:
            heads = tuple(sorted((h for m in members for h in m.heads), key=lambda h: (h.pitch.midi, h.id)))
            ornaments = tuple(dict.fromkeys(o for m in members for o in m.ornaments))
            rolled = any(m.rolled for m in members)
            chords.append(replace(members[0], heads=heads, rolled=rolled, ornaments=ornaments))
    return sorted(chords, key=lambda c: (c.onset, not c.grace))


def assign_voices(chords: Sequence[Chord]) -> list[list[Chord]]:
    """The chords of a bar in voices without overlaps, the upper voice first.

    Chords that wish for a voice get it where that makes no overlap; the others go on in the free voice whose last
    chord lies nearest in pitch, but notes that the score gives a voice and notes without one only within an octave. Two
    voices have stems of their own; a third, unless the score itself has three, is written into one of them.
    """
    voices: list[list[Chord]] = []
    wished: dict[int, int] = {}
    for chord in sorted((c for c in chords if not c.grace), key=lambda c: (c.onset, -c.top)):
        free = [v for v, voice in enumerate(voices) if voice[-1].end <= chord.onset]
        wish = wished.get(chord.voice) if chord.voice else None
        near = [v for v in free if abs(voices[v][-1].top - chord.top) <= OCTAVE]
        if chord.voice and wish is None:
            free = [v for v in near if v not in wished.values()]
        elif not chord.voice:
            free = [v for v in free if v in near or v not in wished.values()]
        if wish in free:
            choice = wish
        elif free:
            choice = min(free, key=lambda v: (abs(voices[v][-1].top - chord.top), v))
        else:
            choice = None
        if choice is None:
            voices.append([])
            choice = len(voices) - 1
        if chord.voice:
            wished.setdefault(chord.voice, choice)
        voices[choice].append(chord)
    voices.sort(key=lambda v: -sum(c.top for c in v) / len(v))
    voices = _fold(voices, max(MOST_VOICES, len({c.voice for c in chords if c.voice})))
    graces = [c for c in chords if c.grace]
    for _, run in groupby(graces, key=lambda c: (c.onset, c.voice, c.closes)):
        _place_graces(list(run), voices)
    return voices


def _fold(voices: list[list[Chord]], most: int) -> list[list[Chord]]:
    """Write neighbouring voices as one while there are more than ``most``, those first whose notes need the fewest
    ties for it, and none that need more than ``MOST_TIES``."""
    while len(voices) > most:
        found = []
        for upper in range(len(voices) - 1):
            merged = _merge(voices[upper], voices[upper + 1])
            if merged is not None:
                ties = len([h for c in merged for h in c.heads]) - len(
                    [h for voice in voices[upper : upper + 2] for c in voice for h in c.heads]
                )
                found.append((ties, -upper, merged))
        ties, upper, best = min(found, key=lambda f: f[:2], default=(MOST_TIES + 1, 0, []))
        if ties > MOST_TIES:
            break
        voices[-upper : -upper + 2] = [best]
    return voices


def _merge(one: Sequence[Chord], other: Sequence[Chord]) -> list[Chord] | None:
    """Two voices as one, their chords cut and tied where the other's begin or end; None where two heads would share a
    place of the staff."""
    edges = sorted({edge for c in (*one, *other) for edge in (c.onset, c.end)})
    pieces: dict[int, list[Chord]] = defaultdict(list)
    for chord in (*one, *other):
        inside = [chord.onset, *(e for e in edges if chord.onset < e < chord.end), chord.end]
        for start, end in pairwise(inside):
            pieces[start].append(chord.cut(start, end))
    merged = []
    for _, together in sorted(pieces.items()):
        heads = sorted((h for c in together for h in c.heads), key=lambda h: (h.pitch.midi, h.id))
        if len({h.pitch.diatonic for h in heads}) < len(heads):
            return None
        ornaments = tuple(dict.fromkeys(o for c in together for o in c.ornaments))
        rolled = any(c.rolled for c in together)
        merged.append(replace(together[0], heads=tuple(heads), rolled=rolled, ornaments=ornaments))
    return merged


def _place_graces(graces: list[Chord], voices: list[list[Chord]]) -> None:
    """Graces go together before the main chord that starts where they stand: that of their voice, else that nearest in
    pitch to the last of them; those that close a bar go after the chord that ends there."""
    last = graces[-1]
    closing = last.closes is not None
    places = [
        (not last.voice or chord.voice != last.voice, abs(chord.top - last.top), number, place)
        for number, voice in enumerate(voices)
        for place, chord in enumerate(voice)
        if not chord.grace and (chord.end if closing else chord.onset) == last.onset
    ]
    if places:
        *_, number, place = min(places)
        if closing:
            voices[number] += graces
        else:
            voices[number][place:place] = graces
        return
    if not voices:
        voices.append([])
    voices[0] += graces
    voices[0].sort(key=lambda c: (c.onset, not c.grace))
