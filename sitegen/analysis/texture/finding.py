"""What each hand does, stretch by stretch, in the words of a piano lesson: Alberti bass, repeated chords, scale run.

Each staff is measured bar by bar, or half-bar by half-bar where the bar has four felt beats or more; every stretch is
held against the rows of ``table``, and of all ways to name the staff the one is taken that fits best with few
changes (the best path by Viterbi, "Error bounds for convolutional codes", 1967), so a name does not flicker.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from sitegen.analysis.nouns import Harmony, NoteReading, Texture
from sitegen.analysis.texture.staff_measures import measure_stretch
from sitegen.analysis.texture.table import KINDS, TEXTURES
from sitegen.analysis.texture.ways import (
    CHANGE,
    COUNTERPOINT_OWN_ONSETS,
    COUNTERPOINT_VOICES,
    COUNTERPOINT_WORTH,
    HALF_SILENT,
    LINE,
    SHARE_SLACK,
    SLACK,
    WayOfWriting,
)
from sitegen.score import Bar, Metre, Note, Score

_WHOLLY = 10.0
"""Stands for more than any figure can be worth."""

Values = dict[str, float]


@dataclass(frozen=True, slots=True)
class Measured:
    """A stretch of one staff: its ``measures`` (empty where nothing begins), its onsets, whether anything sounds."""

    measures: Mapping[str, float]
    onsets: frozenset[int]
    sounds: bool


def find_textures(
    score: Score, harmonies: Sequence[Harmony], readings: Mapping[str, NoteReading], said: Sequence[Texture] = ()
) -> tuple[Texture, ...]:
    """The textures of each staff, top staff first, in order of time, covering the piece without gap or overlap.

    ``said`` are those that the teacher has given: they hold as they stand, of two the later one. What they say of some
    bars is no evidence of others, which are named as without them.
    """
    bars = [bar for bar in score.bars if bar.length]
    stretches = [(onset, end, place) for place, bar in enumerate(bars) for onset, end in _stretches(score, bar)]
    by_staff: dict[int, list[Note]] = {staff.number: [] for staff in score.staves}
    for note in score.notes:
        if not note.grace:
            by_staff.setdefault(note.staff, []).append(note)
    tones = _chord_tones(score, harmonies, readings)
    measured: dict[int, list[Measured]] = {}
    values: dict[int, list[Values]] = {}
    for staff, notes in by_staff.items():
        left = score.hand_of(staff) == "left"
        whole = _measure(score, notes, tones, [(bar.onset, bar.end) for bar in bars], left)
        halves = _measure(score, notes, tones, [(onset, end) for onset, end, _ in stretches], left)
        of_bars = [_values(row, _WHOLLY) for row in whole]
        measured[staff] = halves
        values[staff] = [
            _better(of_bars[place], _values(half, HALF_SILENT))
            for half, (_, _, place) in zip(halves, stretches, strict=True)
        ]
    hands = [staff.number for staff in score.staves if staff.hand is not None]
    for i in range(len(stretches)):
        _hear_counterpoint([(values[staff][i], measured[staff][i]) for staff in hands])
    found = {staff: _merge(staff, stretches, _best_path(values[staff])) for staff in by_staff}
    for texture in said:
        found[texture.staff] = _with(found[texture.staff], texture)
    return tuple(texture for textures in found.values() for texture in textures)


def how_well(way: WayOfWriting, measures: Mapping[str, float]) -> float:
    """How well ``measures`` fit ``way``, from 0 to its worth."""
    worst = 1.0
    for name, (least, most) in way.bounds.items():
        value = measures.get(name, 0.0)
        if least <= value <= most:
            continue
        outside = max(least - value, value - most, 0.0)
        worst = min(worst, 1 - outside / SLACK.get(name, SHARE_SLACK))
        if worst <= 0:
            return 0.0
    return worst * way.worth


def _stretches(score: Score, bar: Bar) -> list[tuple[int, int]]:
    beats = bar.metre.quarters / bar.metre.beat_quarters
    middle = bar.onset - bar.lead + score.ticks(bar.metre.quarters) // 2
    if beats >= 4 and beats % 2 == 0 and bar.onset < middle < bar.end:
        return [(bar.onset, middle), (middle, bar.end)]
    return [(bar.onset, bar.end)]


def _chord_tones(score: Score, harmonies: Sequence[Harmony], readings: Mapping[str, NoteReading]) -> set[str]:
    """Where no harmony is known every note counts as a tone of it, so that a figure is still seen as one."""
    tones: set[str] = set()
    position = 0
    for note in score.notes:
        while position + 1 < len(harmonies) and harmonies[position].end <= note.onset:
            position += 1
        known = bool(harmonies) and bool(harmonies[position].pitch_classes)
        reading = readings.get(note.id)
        if not known or reading is None or reading.function == "chord tone":
            tones.add(note.id)
    return tones


def _measure(
    score: Score, notes: Sequence[Note], tones: set[str], stretches: Sequence[tuple[int, int]], left: bool
) -> list[Measured]:
    found = []
    position, reach = 0, 0
    for onset, end in stretches:
        held = reach > onset
        first = position
        while position < len(notes) and notes[position].onset < end:
            reach = max(reach, notes[position].end)
            position += 1
        inside = notes[first:position]
        metre = score.bar_at(onset).metre
        beats, triple = _beats_of(metre.beats, metre.beat_type, end - onset, score.ticks_per_quarter)
        measures = measure_stretch(inside, tones, beats, triple, left)
        found.append(Measured(measures, frozenset(note.onset for note in inside), held or bool(inside)))
    return found


@lru_cache(maxsize=256)
def _beats_of(beats: int, beat_type: int, ticks: int, ticks_per_quarter: int) -> tuple[float, bool]:
    """How many felt beats of a metre ``ticks`` are, and whether the metre has three of them or a multiple."""
    metre = Metre(beats, beat_type)
    felt = metre.beat_quarters
    return float(Fraction(ticks, ticks_per_quarter) / felt), (metre.quarters / felt) % 3 == 0


def _values(stretch: Measured, silence: float) -> Values:
    """What each kind is worth for a stretch; ``silence`` is what ``silent`` is worth where nothing sounds."""
    if not stretch.sounds:
        return {"silent": silence}
    values: Values = {"silent": -_WHOLLY}
    if stretch.measures:
        for kind in TEXTURES:
            for way in kind.ways:
                values[kind.name] = max(values.get(kind.name, 0.0), how_well(way, stretch.measures))
    return values


def _better(bar: Values, half: Values) -> Values:
    """A figure that takes a whole bar is seen in both its halves, so that each kind is worth the better of the two."""
    if half.get("silent", 0.0) > 0:
        return {
            **{kind: worth for kind, worth in bar.items() if kind != "silent"},
            "silent": max(bar["silent"], half["silent"]),
        }
    return {
        kind: max(half.get(kind, 0.0), bar.get(kind, 0.0)) if kind != "silent" else half[kind]
        for kind in {**bar, **half}
    }


def _hear_counterpoint(staves: Sequence[tuple[Values, Measured]]) -> None:
    """Two hands that each play a line, in rhythms of their own, are counterpoint."""
    lines = [
        (values, stretch)
        for values, stretch in staves
        if how_well(LINE, stretch.measures) == 1 or values.get("contrapuntal", 0.0) > COUNTERPOINT_VOICES
    ]
    if len(lines) < 2:
        return
    onsets = [stretch.onsets for _, stretch in lines]
    together, every = frozenset.intersection(*onsets), frozenset.union(*onsets)
    if 1 - len(together) / len(every) >= COUNTERPOINT_OWN_ONSETS:
        for values, _ in lines:
            values["contrapuntal"] = max(values.get("contrapuntal", 0.0), COUNTERPOINT_WORTH)


def _best_path(values: Sequence[Values]) -> list[str]:
    """The kinds of the stretches in order, worth most together, each change costing ``CHANGE``."""
    best = dict.fromkeys(KINDS, 0.0)
    back: list[dict[str, str]] = []
    for value in values:
        leader = max(KINDS, key=lambda kind: best[kind])
        before = {kind: kind if best[kind] >= best[leader] - CHANGE else leader for kind in KINDS}
        best = {kind: best[before[kind]] - CHANGE * (before[kind] != kind) + value.get(kind, 0.0) for kind in KINDS}
        back.append(before)
    if not back:
        return []
    path = [max(KINDS, key=lambda kind: best[kind])]
    for before in reversed(back[1:]):
        path.append(before[path[-1]])
    return path[::-1]


def _with(textures: Sequence[Texture], said: Texture) -> list[Texture]:
    """The textures of a staff with one of them given; one that goes on before or after it is made one with it."""
    found: list[Texture] = []
    for texture in textures:
        if texture.onset < min(texture.end, said.onset):
            found.append(replace(texture, duration=min(texture.end, said.onset) - texture.onset))
        if texture.onset <= said.onset < texture.end:
            found.append(said)
        if max(texture.onset, said.end) < texture.end:
            onset = max(texture.onset, said.end)
            found.append(replace(texture, onset=onset, duration=texture.end - onset))
    kept = found[:1]
    for texture in found[1:]:
        if texture.kind == kept[-1].kind:
            kept[-1] = replace(kept[-1], duration=texture.end - kept[-1].onset)
        else:
            kept.append(texture)
    return kept


def _merge(staff: int, stretches: Sequence[tuple[int, int, int]], kinds: Sequence[str]) -> list[Texture]:
    found: list[Texture] = []
    for (onset, end, _), kind in zip(stretches, kinds, strict=True):
        if found and found[-1].kind == kind:
            found[-1] = Texture(staff, found[-1].onset, end - found[-1].onset, kind)
        else:
            found.append(Texture(staff, onset, end - onset, kind))
    return found
