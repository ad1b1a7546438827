"""What stands at single notes: articulation, fingering, fermatas."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from sitegen.notation.phrasing.nouns import NoteMark
from sitegen.notation.phrasing.remaining import Remaining
from sitegen.reduction import StageNote
from sitegen.score import Note, Sign

#: Articulations that say how short a note is held, and those that stand after its end.
SHORT = frozenset({"staccato", "staccatissimo", "spiccato", "detached-legato"})
AFTER = frozenset({"breath-mark", "caesura"})


def articulations(remaining: Remaining) -> Iterator[NoteMark]:
    """At a note that is struck where it was; a sign of shortness not at one that is held longer than in the score and
    beyond its beat."""
    for note in remaining.score.notes:
        left = remaining.kept(note) if note.articulations else None
        if left is None:
            continue
        longer = left.duration > note.duration
        held = longer and left.duration > remaining.beat(note.onset)
        for name in note.articulations:
            if not ((name in SHORT and held) or (name in AFTER and longer)):
                yield NoteMark(left.id, "articulation", name)


def fingerings(remaining: Remaining) -> Iterator[NoteMark]:
    """Where the hand lies as it did: what it strikes there is what the score has it strike, and for a single note so
    are the notes before and after it."""
    if not any(note.fingerings for note in remaining.score.notes):
        return
    written: dict[int, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
    left: dict[int, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
    for note in remaining.score.notes:
        written[note.staff][note.onset].add(note.id)
    for stage_note in remaining.stage:
        source = remaining.notes[stage_note.sources[0]]
        same = stage_note.midi == source.midi and stage_note.onset == source.onset
        left[stage_note.staff][stage_note.onset].add(source.id if same else "")
    places = {staff: sorted(onsets) for staff, onsets in written.items()}
    positions = {staff: {onset: k for k, onset in enumerate(onsets)} for staff, onsets in places.items()}
    for note in remaining.score.notes:
        kept = remaining.kept(note) if note.fingerings else None
        if kept is None or kept.staff != note.staff:
            continue
        onsets, at = places[note.staff], positions[note.staff][note.onset]
        alone = len(written[note.staff][note.onset]) == 1
        around = onsets[max(0, at - 1) : at + 2] if alone else [note.onset]
        if all(left[note.staff].get(o) == written[note.staff][o] for o in around):
            yield from (NoteMark(kept.id, "fingering", finger) for finger in note.fingerings)


def fermatas(remaining: Remaining) -> Iterator[NoteMark | Sign]:
    """At the note that it stands at, of tied ones the last, or the one that has its time. All hands wait there: where
    none of its notes is left it stands at what sounds. One over a rest stays where there still is one."""
    at: dict[int, list[Note]] = defaultdict(list)
    for note in remaining.score.notes:
        if note.fermata:
            at[note.noteheads[-1].onset if note.noteheads else note.onset].append(note)
    for onset, notes in at.items():
        left = [remaining.heirs[n.id] for n in notes if n.id in remaining.heirs and not n.grace]
        last = max(n.end for n in notes)
        left = [n for n in left if n.end > onset] or _sounding(remaining, onset, max(last, onset + 1))
        yield from (NoteMark(name, "fermata") for name in dict.fromkeys(n.id for n in left))
    for sign in remaining.score.signs:
        if sign.kind == "fermata":
            there = remaining.sounding(sign.staff, sign.onset, sign.onset + 1)
            if there:
                yield from (NoteMark(n.id, "fermata") for n in there)
            elif any(remaining.of_staff.values()):
                yield sign


def _sounding(remaining: Remaining, onset: int, end: int) -> list[StageNote]:
    """What each staff holds at a place: its notes struck last before ``end`` that sound then."""
    found: list[StageNote] = []
    for staff in remaining.of_staff:
        there = [n for n in remaining.sounding(staff, onset, end) if not n.grace]
        last = max((n.onset for n in there), default=0)
        found += [n for n in there if n.onset == last]
    return found
