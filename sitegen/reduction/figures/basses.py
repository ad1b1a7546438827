"""The bass line: what sounds lowest on the beat.

A bass is the lowest note that sounds where a bar, a harmony or a new turn of the left hand's figure begins: the first
low note of a figure or of a bass with its chords, a pedal note too, in its own octave and not before it sounds. After
a rest shorter than a beat the first note of the figure stands on the beat of that rest. A bass that stays through a
bar is one note; at the bar line it is struck again, unless the score itself holds it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sitegen.reduction.material import Material, Window
from sitegen.reduction.notes import let_go, to_the_beat
from sitegen.score import Bar, Note
from sitegen.score.metre import beat_start, beat_ticks

OCTAVE = 12  # semitones above the bass of its bar from which on a note is of the chord above, whatever it begins


@dataclass(frozen=True, slots=True)
class Bass:
    """A bass note, the ticks from which and until which it is held, and the notes of its staff whose time it takes."""

    note: Note
    onset: int
    end: int
    members: tuple[Note, ...]


def find_basses(material: Material) -> list[Bass]:
    """The bass line in order of onset; nothing where only a tune sounds."""
    return material.once(_find)


def _find(material: Material) -> list[Bass]:
    found: list[tuple[int, Note]] = []
    for bar in material.score.bars:
        for tick in _places(material, bar):
            note = lowest_at(material, tick)
            if note is None:
                continue
            held = found[-1] if found else None
            if held is not None and (note.id == held[1].id or (held[1].end > tick and held[1].midi <= note.midi)):
                continue
            same_bar = held is not None and held[0] >= bar.onset
            if held is not None and same_bar and (held[1].midi == note.midi or note.midi > held[1].midi + OCTAVE):
                continue
            if held is not None and same_bar and note.midi > held[1].midi and _stays(material, held[1], tick):
                continue
            if note.onset < tick and held is not None and same_bar and not _is_syncopated(material, note, tick):
                continue
            found.append((tick, note))
    ends = [*(tick for tick, _ in found[1:]), material.score.end]
    return [_held(material, note, tick, end) for (tick, note), end in zip(found, ends, strict=False)]


def _is_syncopated(material: Material, note: Note, tick: int) -> bool:
    """Whether a note is struck since the beat before ``tick`` and held on after it for as long again: that beat is its
    own."""
    early = tick - note.onset
    return early < beat_ticks(material.score, note.onset) and note.end - tick >= early


def _stays(material: Material, bass: Note, tick: int) -> bool:
    """Whether the hand, without having rested, strikes the bass that it had again within the beat at ``tick``: it has
    not let go of it."""
    came_in = bass.onset > tick - beat_ticks(material.score, tick)
    if not came_in and tick in material.once(_returns).get(material.score.bar_at(tick).index, ()):
        return False
    end = tick + beat_ticks(material.score, tick)
    return any(note.midi == bass.midi for note in material.struck_between(bass.staff, tick, end))


def lowest_at(material: Material, tick: int) -> Note | None:
    """The lowest note that the left hand sounds at a beat, or strikes within it after a short rest; where it is silent
    the lowest of what another hand plays there besides a tune, in two voices on one key too, or an upbeat of one
    voice, in octaves too."""
    score = material.score
    sounding = [n for s in score.staves if s.hand == "left" for n in material.sounding_at(s.number, tick)]
    if sounding:
        return min(sounding, key=lambda n: (n.midi, n.onset, -n.staff, -n.duration))
    end = tick + beat_ticks(score, tick)
    coming = [n for s in score.staves if s.hand == "left" for n in _struck(material, s.number, tick, end)]
    begins = (
        coming
        and beat_start(score, tick) == tick
        and (_begins_a_figure(material, tick) or not _is_upbeat(material, coming, end))
    )
    if begins and material.rests_before(coming[0], tick):
        first = min(n.onset for n in coming)
        return min((n for n in coming if n.onset == first), key=lambda n: n.midi)
    others = [n for s in score.staves if s.hand == "right" for n in material.sounding_at(s.number, tick)]
    others = others or [n for s in score.staves if s.hand == "right" for n in _struck(material, s.number, tick, end)]
    if len({n.pitch.pitch_class for n in others}) == 1 and score.bar_at(tick).lead:
        return None
    lines = material.analysis.counterpoint is not None
    sung = {n.midi for n in others if material.roles[n.id] == "melody" and not lines}
    others = [n for n in others if material.roles[n.id] == "melody" or n.midi not in sung]
    if len(others) > 1 or any(material.roles[n.id] == "figure" for n in others):
        return min(others, key=lambda n: (n.midi, n.onset))
    return None


def _places(material: Material, bar: Bar) -> Iterator[int]:
    """The beats of a bar on which a new bass may stand: the bar line, changes of harmony, where a figure of the left
    hand begins again on another lowest note, and where that hand comes in again."""
    yield bar.onset
    ticks = {_on_the_beat(material, harmony.onset) for harmony in material.harmonies_in(bar.onset, bar.end)}
    inside = [w for w in material.once(_figures_of_the_left_hand).get(bar.index, ()) if w.onset < bar.end]
    ticks.update(material.once(_drops).get(bar.index, ()))
    ticks.update(material.once(_returns).get(bar.index, ()))
    ticks.update(material.once(_late_basses).get(bar.index, ()))
    ticks.update(window.onset for window in inside if beat_start(material.score, window.onset) == window.onset)
    for tick in sorted(ticks):
        within = [window for window in inside if window.onset < tick < window.end]
        if bar.onset < tick < bar.end and all(_goes_below(window, tick) for window in within):
            yield tick


def _goes_below(window: Window, tick: int) -> bool:
    """Whether a figure strikes, on a beat on which the harmony changes, a lower note than all before it and after."""
    lowest = min(window.notes, key=lambda n: (n.midi, n.onset))
    return lowest.onset == tick


def _figures_of_the_left_hand(material: Material) -> dict[int, list[Window]]:
    """The windows of figures of the left hand by the index of their bar: those that begin on their lowest note. One
    that comes down from above has no bass of its own."""
    found: dict[int, list[Window]] = {}
    for staff in material.score.staves:
        for window in material.windows[staff.number] if staff.hand == "left" else ():
            if window.figure and window.notes[0].midi == min(note.midi for note in window.notes):
                found.setdefault(window.notes[0].bar, []).append(window)
    return found


def _drops(material: Material) -> dict[int, list[int]]:
    """The beats, by the index of their bar, on which the left hand leaves its place for a note an octave or more below
    all that it has just held."""
    found: dict[int, list[int]] = {}
    for staff in material.score.staves:
        for before, window in pairwise(material.windows[staff.number]) if staff.hand == "left" else ():
            beat = beat_start(material.score, window.onset) == window.onset == window.notes[0].onset
            lowest = min(n.midi for n in before.notes)
            if beat and before.figure and before.end == window.onset and lowest - window.notes[0].midi >= OCTAVE:
                found.setdefault(window.notes[0].bar, []).append(window.onset)
    return found


def _returns(material: Material) -> dict[int, list[int]]:
    """The beats, by the index of their bar, on which the left hand comes in again after a rest over the bar line; in
    counterpoint a voice after any rest of a beat, in the right hand too while the left is silent. What comes in off the
    beat leads on to the next."""
    score, counterpoint = material.score, material.analysis.counterpoint
    lower = [note for note in material.sounding if score.hand_of(note.staff) == "left"]
    lines = [lower] if counterpoint is None else [[material.by_id[n] for n in v] for v in counterpoint.voices[1:]]
    found: dict[int, list[int]] = {}
    for line in lines:
        silent = 0
        for note in line:
            bar, tick = score.bar_at(note.onset), _on_the_beat(material, note.onset)
            comes_in = note.onset - silent >= beat_ticks(score, note.onset) and bar.onset < tick < bar.end
            if comes_in and (silent <= bar.onset if counterpoint is None else not _is_above(material, note, tick)):
                found.setdefault(bar.index, []).append(tick)
            silent = max(silent, note.end)
    return found


def _is_above(material: Material, note: Note, tick: int) -> bool:
    """Whether a note of the right hand has the left hand sounding below it at ``tick``."""
    if material.score.hand_of(note.staff) == "left":
        return False
    left = (s.number for s in material.score.staves if s.hand == "left")
    return any(below.midi < note.midi for staff in left for below in material.sounding_at(staff, tick))


def _late_basses(material: Material) -> dict[int, list[int]]:
    """The beats, by the index of their bar, on which the left hand, where it plays no figure, comes to the bass of the
    harmony, below all that it has struck in the bar: not to an octave of the bass that it has, nor to a note from which
    it goes back to that."""
    found: dict[int, list[int]] = {}
    lowest: dict[int, int] = {}
    for staff in material.score.staves:
        for window in material.windows[staff.number] if staff.hand == "left" else ():
            first, bar = window.notes[0], material.score.bars[window.notes[0].bar]
            low = min((n for n in window.notes if n.onset == first.onset), key=lambda n: n.midi)
            beat = beat_start(material.score, window.onset) == window.onset == first.onset
            comes_to_it = low.pitch.pitch_class == material.harmony(first.onset).bass
            if beat and not window.figure and comes_to_it and low.midi < lowest.get(bar.index, low.midi + 1):
                before = lowest_at(material, bar.onset)
                later = material.struck_between(staff.number, first.onset, bar.end)
                same = before is not None and (
                    before.pitch.pitch_class == low.pitch.pitch_class or any(n.midi == before.midi for n in later)
                )
                if not same:
                    found.setdefault(bar.index, []).append(window.onset)
            lowest[bar.index] = min([lowest.get(bar.index, low.midi), *(n.midi for n in window.notes)])
    return found


def _on_the_beat(material: Material, tick: int) -> int:
    """The beat of a change of harmony: the one that it stands on, or the next."""
    start = beat_start(material.score, tick)
    return tick if start == tick else start + beat_ticks(material.score, tick)


def _begins_a_figure(material: Material, tick: int) -> bool:
    """Whether a figure of the left hand begins with the rest at ``tick``."""
    bar = material.score.bar_at(tick).index
    return any(window.onset == tick for window in material.once(_figures_of_the_left_hand).get(bar, ()))


def _struck(material: Material, staff: int, start: int, end: int) -> Sequence[Note]:
    return [n for n in material.struck_between(staff, start, end) if n.id not in material.ornaments]


def _is_upbeat(material: Material, coming: Sequence[Note], end: int) -> bool:
    """Whether what the left hand strikes within a beat only leads on to the next: one short note in its last half, but
    not the bass of its harmony from which the hand rises in that."""
    first = coming[0]
    half = beat_ticks(material.score, first.onset) // 2
    after = material.struck_between(first.staff, end, end + 1)
    same = (
        material.harmony_index(first.onset) == material.harmony_index(end)
        and end < material.score.bar_at(first.onset).end
    )
    if same and after and first.pitch.pitch_class == material.harmony(end).bass and after[0].midi > first.midi:
        return False
    return len({n.onset for n in coming}) == 1 and first.onset >= end - half and first.end <= end and len(coming) == 1


def _left_below(material: Material, bass: Note, tick: int, end: int) -> int:
    """The beat on which the right hand, where it has the bass, strikes a lower note; ``end`` where there is none, and
    in counterpoint, where each voice is its own."""
    analysis = material.analysis
    fugato = any(passage.counterpoint and passage.onset <= tick < passage.end for passage in analysis.passages)
    if material.score.hand_of(bass.staff) != "right" or analysis.counterpoint is not None or fugato:
        return end
    lower = (n for n in material.struck_between(bass.staff, tick + 1, end) if n.midi < bass.midi)
    return next((n.onset for n in lower if beat_start(material.score, n.onset) == n.onset), end)


def _of_its_hand(material: Material, bass: Note, start: int, end: int) -> Sequence[Note]:
    """What the staff of a bass strikes, and what a figure of that staff's voices strikes in another one: it runs on
    there, and the bass sounds below it. In counterpoint a voice that goes over is no figure."""
    if material.analysis.counterpoint is not None:
        return material.struck_between(bass.staff, start, end)
    crossing = [
        n
        for staff in material.score.staves
        if staff.number != bass.staff
        for n in material.struck_between(staff.number, start, end)
        if n.home_staff == bass.staff and material.roles[n.id] == "figure"
    ]
    here = material.struck_between(bass.staff, start, end)
    return sorted((*here, *crossing), key=lambda n: (n.onset, n.midi)) if crossing else here


def _held(material: Material, note: Note, tick: int, end: int) -> Bass:
    """A bass until the next, or until the last whole beat before its hand falls silent, whatever is sung above it; of
    the right hand no longer than that keeps above it."""
    end = min(end, _left_below(material, note, tick, end))
    members = _of_its_hand(material, note, min(tick, note.onset), end)
    if material.score.hand_of(note.staff) == "right" and not material.analysis.counterpoint:
        members = tuple(n for n in members if material.roles[n.id] == "figure")
    members = (note, *(n for n in members if n.id != note.id))
    reached = note.end
    gap = beat_ticks(material.score, tick)
    for other in members[1:]:
        if other.onset - reached >= gap and other.onset > tick + gap:
            break
        reached = max(reached, other.end)
    covered = tuple(n for n in members if n.onset < reached or n is note)
    sounds = min(end, reached)
    until = let_go(material, tick, sounds, end)
    # nor is one let go in the short rest after which it is struck
    until = until if until > max(tick, note.onset) else max(sounds, tick + 1)
    # a bass that the score holds over the bar line is there on the downbeat, be it for less than that beat
    last = max(tick, material.score.bar_at(sounds - 1).onset)
    until = sounds if until <= last else until
    cover = to_the_beat(material, note.staff, last, until, end)
    if cover is not None:
        return Bass(note, tick, last + beat_ticks(material.score, last), (*covered, cover))
    return Bass(note, tick, until, covered)
