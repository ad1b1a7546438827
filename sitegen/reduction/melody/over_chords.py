"""A tune and the chords under it, fitted to each other where the tune is without its leaning notes.

What leans in the chord with the tune goes with it; where the whole chord leans, the tune leans with it; and what is
struck with a note of the tune, and as long, has the time that this has taken over.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace

from sitegen.reduction.figures import lowest_at
from sitegen.reduction.material import Material
from sitegen.reduction.melody.tune import Slot, sing_leaning
from sitegen.reduction.nouns import StageNote
from sitegen.score.metre import beat_ticks, half_beat_start, half_beat_ticks

WHOLE = 2  # tones above the bass, foreign to the harmony, with which a whole chord leans


def sing_over_chords(material: Material, slots: Sequence[Slot]) -> list[StageNote]:
    """The notes of slots without what leans on them, but where the whole chord leans and moves on with the tune."""
    kept = [slot if _leans_with_its_chord(material, slot) else replace(slot, leaning=()) for slot in slots]
    return sing_leaning(material, kept)


def without_leaning(material: Material, slots: Sequence[Slot], chords: Sequence[StageNote]) -> list[StageNote]:
    """``chords`` without what the right hand strikes in them of the name of a note that leans in the tune above, where
    they strike its goal too: a figure that moves on with the tune is the chord on which it leans."""
    struck = {(note.onset, note.staff, note.midi % 12) for note in chords}
    leaving: set[tuple[int, int, int]] = set()
    for slot in slots:
        place = slot.onset, slot.head.staff
        right = material.score.hand_of(slot.head.staff) == "right"
        if right and (*place, slot.head.pitch.pitch_class) in struck and not _leans_with_its_chord(material, slot):
            leaving.update((*place, note.pitch.pitch_class) for note in slot.leaning)
    return [note for note in chords if (note.onset, note.staff, note.midi % 12) not in leaving]


def held_along(material: Material, tune: Sequence[StageNote], chords: Sequence[StageNote]) -> list[StageNote]:
    """``chords``, and in them what the score strikes with a note of ``tune`` in its hand and for as long: it is held as
    long as that is here, or until its hand strikes again."""
    sung = {(note.onset, note.staff): note for note in tune if not note.grace}
    onsets: dict[int, list[int]] = {}
    for onset, staff in sorted({(note.onset, note.staff) for note in chords}):
        onsets.setdefault(staff, []).append(onset)
    found = []
    for note in chords:
        above = sung.get((note.onset, note.staff))
        if above is not None and above.end > note.end:
            heads = material.by_id[note.sources[0]], material.by_id[above.sources[0]]
            mine = onsets[note.staff]
            place = bisect_right(mine, note.onset)
            end = min(above.end, mine[place]) if place < len(mine) else above.end
            if (heads[0].onset, heads[0].duration) == (heads[1].onset, heads[1].duration):
                note = replace(note.standing_for(above.sources), duration=end - note.onset)
        found.append(note)
    return found


def let_go_for(material: Material, tune: Sequence[StageNote], chords: Sequence[StageNote]) -> list[StageNote]:
    """``chords``, those of them let go together whose key ``tune`` strikes within their last beat: on the half beat
    before it, so that no value in them is cut to its odd rest."""
    struck: dict[int, list[int]] = {}
    for note in sorted((note for note in tune if not note.grace), key=lambda n: n.onset):
        struck.setdefault(note.midi, []).append(note.onset)
    until: dict[tuple[int, int, int], int] = {}
    for note in chords:
        onsets = struck.get(note.midi, [])
        place = bisect_right(onsets, note.onset)
        if place < len(onsets) and onsets[place] < note.end:
            end = half_beat_start(material.score, onsets[place])
            chord = note.onset, note.staff, note.end
            if note.onset < end and note.end - onsets[place] < 2 * half_beat_ticks(material.score, onsets[place]):
                until[chord] = min(end, until.get(chord, end))
    return [
        replace(note, duration=until.get((note.onset, note.staff, note.end), note.end) - note.onset) for note in chords
    ]


def _leans_with_its_chord(material: Material, slot: Slot) -> bool:
    """Whether two tones or more above the bass, at the beat of a slot, are as foreign to the harmony as what leans on
    its head, and none of them is the head's; and what leans lasts for half a beat at least: what is shorter only bends
    the beginning of its goal."""
    if not slot.leaning or 2 * (slot.head.onset - slot.onset) < beat_ticks(material.score, slot.onset):
        return False
    bass = lowest_at(material, slot.onset)
    under = {
        note.pitch.pitch_class
        for staff in material.score.staves
        for note in material.sounding_at(staff.number, slot.onset)
        if material.roles[note.id] == "figure" and note is not bass
    }
    foreign = under - set(material.harmony(slot.onset).pitch_classes)
    return len(foreign) >= WHOLE and slot.head.pitch.pitch_class not in under
