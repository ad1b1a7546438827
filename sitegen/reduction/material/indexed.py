"""A score and its analysis, indexed once for all techniques: notes by harmony and hand, and the lines.

Everything here is linear in the number of notes. Ticks are those of the score.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from operator import attrgetter
from typing import TypeVar, cast

from sitegen.analysis import Analysis, Harmony, NoteReading, Texture, harmony_index
from sitegen.reduction.material.print_size import ornamental, prominent
from sitegen.reduction.material.roles import Role, assign_roles, doubled_below
from sitegen.reduction.material.runs import with_runs
from sitegen.reduction.material.two_voices import is_in_two_voices, with_one_figure
from sitegen.reduction.material.windows import Window, find_windows
from sitegen.score import Note, Score
from sitegen.score.hand_spans import MEDIUM_HAND

_ONSET = attrgetter("onset")
_UNREAD = NoteReading("free")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class HarmonyGroup:
    """What one staff strikes during one harmony, in order of onset. ``until`` is the onset at which the same staff
    strikes the first note of its next group, or at which the harmony ends if something is struck then."""

    staff: int
    harmony: int
    notes: tuple[Note, ...]
    until: int

    @property
    def onset(self) -> int:
        return self.notes[0].onset

    @property
    def end(self) -> int:
        """The tick at which the last of its notes ends, or the staff goes on with the next group."""
        return min(max(note.end for note in self.notes), self.until)


@dataclass(frozen=True, slots=True)
class Material:
    """What a technique sees.

    ``printed`` are the notes of the score but those that only write out what a sign stands for; ``sounding`` are these
    without graces, ``graces`` those by the onset and the staff they stand at; ``groups`` are in order of harmony, the
    lowest staff first; ``roles`` has one entry for every sounding note. ``ornaments`` are the ids of small notes that
    decorate large ones, ``prominent`` those of large notes in a small figure (``print_size``). By staff there are the
    sounding notes (``staff_notes``), the length of the ``longest`` and the ``windows`` of its accompaniment; by the
    index of a harmony the pitch classes that accompany the melody in it (``accompaniments``). ``two_voices``
    says that each hand has one line (``two_voices``). ``span`` is that of the hand, in semitones.
    """

    score: Score
    analysis: Analysis
    by_id: dict[str, Note]
    printed: tuple[Note, ...]
    sounding: tuple[Note, ...]
    graces: dict[tuple[int, int], tuple[Note, ...]]
    groups: tuple[HarmonyGroup, ...]
    roles: dict[str, Role]
    ornaments: frozenset[str]
    prominent: frozenset[str]
    harmony_onsets: tuple[int, ...]
    texture_onsets: dict[int, tuple[tuple[int, ...], tuple[Texture, ...]]]
    staff_notes: dict[int, tuple[Note, ...]]
    longest: dict[int, int]
    accompaniments: dict[int, frozenset[int]]
    windows: dict[int, tuple[Window, ...]]
    two_voices: bool
    span: int
    _found: dict[object, object] = field(default_factory=dict, init=False, repr=False, compare=False)

    def once(self, question: Callable[..., T], *about: object) -> T:
        """The answer to ``question(material, *about)``, found only once: it is the same for all techniques."""
        key = (question, *about)
        if key not in self._found:
            self._found[key] = question(self, *about)
        return cast(T, self._found[key])

    def reading(self, note: Note) -> NoteReading:
        """What was understood of ``note``; ``free`` where the analysis does not say."""
        return self.analysis.notes.get(note.id, _UNREAD)

    def harmony_index(self, tick: int) -> int:
        """The index of the harmony that sounds at ``tick``."""
        return harmony_index(self.analysis.harmonies, tick)

    def harmony(self, tick: int) -> Harmony:
        """The harmony that sounds at ``tick``; an empty one for a score without any."""
        if not self.analysis.harmonies:
            return Harmony(0, self.score.end)
        return self.analysis.harmonies[self.harmony_index(tick)]

    def texture(self, staff: int, tick: int) -> str:
        """The kind of texture of ``staff`` at ``tick``, or ``""`` where none was found."""
        onsets, textures = self.texture_onsets.get(staff, ((), ()))
        place = bisect_right(onsets, tick) - 1
        return textures[place].kind if place >= 0 and tick < textures[place].end else ""

    def is_chord_tone(self, note: Note) -> bool:
        """Whether ``note`` belongs to its chord; where no harmony was found every note does."""
        if not self.harmony(note.onset).pitch_classes:
            return True
        return self.reading(note).function in ("chord tone", "pedal note")

    def of_staff(self, staff: int) -> tuple[Note, ...]:
        """The sounding notes of a staff in order."""
        return self.staff_notes.get(staff, ())

    def sounding_at(self, staff: int, tick: int) -> Iterator[Note]:
        """The notes of a staff that sound at ``tick``, those that begin there last."""
        notes = self.of_staff(staff)
        high = bisect_right(notes, tick, key=_ONSET)
        low = bisect_left(notes, tick - self.longest.get(staff, 0), key=_ONSET)
        return (note for note in notes[low:high] if note.end > tick)

    def struck_between(self, staff: int, start: int, end: int) -> tuple[Note, ...]:
        """The notes that a staff strikes from one tick up to another."""
        notes = self.of_staff(staff)
        low = bisect_left(notes, start, key=_ONSET)
        return notes[low : bisect_left(notes, end, low, key=_ONSET)]

    def rests_before(self, note: Note, tick: int) -> bool:
        """Whether the voice of ``note`` does not come over from another staff, where it strikes from a tick on."""
        others = (staff for staff in self.staff_notes if staff != note.staff)
        before = (n for staff in others for n in self.struck_between(staff, tick, note.onset))
        return all(n.voice != note.voice for n in before)

    def harmonies_in(self, start: int, end: int) -> tuple[Harmony, ...]:
        """The harmonies that begin from one tick up to another."""
        low, high = (bisect_left(self.harmony_onsets, tick) for tick in (start, end))
        return self.analysis.harmonies[low:high]

    def accompaniment(self, tick: int) -> frozenset[int]:
        """The pitch classes of all that accompanies the melody during the harmony at ``tick``."""
        return self.accompaniments.get(self.harmony_index(tick), frozenset())

    def sung_between(self, staff: int, start: int, end: int) -> tuple[Note, ...]:
        """The melody's notes that a staff strikes from one tick up to another."""
        return tuple(n for n in self.struck_between(staff, start, end) if self.roles[n.id] == "melody")

    def line(self, role: Role) -> tuple[Note, ...]:
        """The notes of one role in order of onset."""
        return tuple(note for note in self.sounding if self.roles[note.id] == role)


def gather(score: Score, analysis: Analysis, span: int = MEDIUM_HAND) -> Material:
    """Index ``score`` and ``analysis``. Pure; the same input gives the same value."""
    printed = tuple(note for note in score.notes if not note.implied)
    sounding = tuple(note for note in printed if not note.grace)
    graces: dict[tuple[int, int], list[Note]] = {}
    for note in printed:
        if note.grace:
            graces.setdefault((note.onset, note.staff), []).append(note)
    onsets = tuple(harmony.onset for harmony in analysis.harmonies)
    by_staff: dict[int, list[Texture]] = {}
    for texture in analysis.textures:
        by_staff.setdefault(texture.staff, []).append(texture)
    kinds = {}
    for staff, found in by_staff.items():
        found.sort(key=lambda t: t.onset)
        kinds[staff] = (tuple(t.onset for t in found), tuple(found))
    ornaments, large = ornamental(score, sounding), prominent(score, sounding)
    roles = assign_roles(score, analysis, sounding, large)
    doubled = doubled_below(score, sounding, roles)
    staff_notes = {s.number: tuple(n for n in sounding if n.staff == s.number) for s in score.staves}
    figures = {
        staff: [n for n in notes if roles[n.id] == "figure" and n.id not in ornaments | doubled]
        for staff, notes in staff_notes.items()
    }
    windows = {
        staff: _moving_alone(find_windows(score, analysis, staff, notes), sounding, roles)
        for staff, notes in figures.items()
    }
    two_voices = is_in_two_voices(score, sounding, windows)
    if two_voices:
        windows = with_one_figure(score, windows)
    else:
        windows = {staff: with_runs(score, analysis, found) for staff, found in windows.items()}
    under: dict[int, set[int]] = {}
    for note in sounding:
        if roles[note.id] == "figure" and note.id not in doubled:
            place = harmony_index(analysis.harmonies, note.onset)
            under.setdefault(place, set()).add(note.pitch.pitch_class)
    return Material(
        score=score,
        analysis=analysis,
        by_id={note.id: note for note in score.notes},
        printed=printed,
        sounding=sounding,
        graces={place: tuple(notes) for place, notes in graces.items()},
        groups=_groups(sounding, onsets, score.end),
        roles=roles,
        ornaments=ornaments,
        prominent=large,
        harmony_onsets=onsets,
        texture_onsets=kinds,
        staff_notes=staff_notes,
        longest={staff: max((n.duration for n in notes), default=0) for staff, notes in staff_notes.items()},
        accompaniments={place: frozenset(classes) for place, classes in under.items()},
        windows=windows,
        two_voices=two_voices,
        span=span,
    )


def _moving_alone(windows: Sequence[Window], sounding: Sequence[Note], roles: Mapping[str, Role]) -> tuple[Window, ...]:
    """``windows`` in which what moves with the tune, struck with notes of it in its hand, is no figure."""
    sung = {(note.staff, note.onset) for note in sounding if roles[note.id] == "melody"}
    return tuple(
        replace(window, figure=window.figure and any((n.staff, n.onset) not in sung for n in window.notes))
        for window in windows
    )


def _groups(notes: Sequence[Note], harmony_onsets: tuple[int, ...], end: int) -> tuple[HarmonyGroup, ...]:
    by_place: dict[tuple[int, int], list[Note]] = {}
    place = 0
    for note in notes:
        while place + 1 < len(harmony_onsets) and harmony_onsets[place + 1] <= note.onset:
            place += 1
        by_place.setdefault((place, note.staff), []).append(note)
    struck = {note.onset for note in notes}
    groups = []
    following: dict[int, int] = {}
    for place, staff in sorted(by_place, key=lambda key: (-key[0], key[1])):
        members = tuple(by_place[place, staff])
        until = following.get(staff, end)
        # a change of harmony at which nothing is struck would only cut a held chord where no one moves
        if place + 1 < len(harmony_onsets) and harmony_onsets[place + 1] in struck:
            until = min(until, harmony_onsets[place + 1])
        groups.append(HarmonyGroup(staff, place, members, until))
        following[staff] = members[0].onset
    groups.reverse()
    return tuple(groups)
