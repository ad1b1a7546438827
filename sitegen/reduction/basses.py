"""The bass of each harmony, and how long it is held.

The bass is the lowest note of the staff that lies lowest, of the pitch class that the analysis names where that is
struck there at all. It sounds from where its staff begins in that harmony to where it ends or goes on.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.reduction.material import Group, Material
from sitegen.score import Note


@dataclass(frozen=True, slots=True)
class Bass:
    """The bass note of the group of notes that it belongs to, and the tick until which it is held."""

    note: Note
    group: Group
    end: int


def find_basses(material: Material) -> list[Bass]:
    """At most one bass for each harmony, in order; none where only a tune sounds, or a bass is held on from before."""
    lowest: dict[int, Group] = {}
    for group in material.groups:
        figure = any(material.roles[n.id] == "figure" for n in group.notes)
        hand = material.score.hand_of(group.staff)
        alone = len(group.notes) == 1  # an upbeat of the right hand is no bass
        if group.harmony not in lowest and (hand == "left" or (figure and hand is not None and not alone)):
            lowest[group.harmony] = group
    found: list[Bass] = []
    held = -1  # the tick until which the newest bass sounds
    for harmony in sorted(lowest):
        group = lowest[harmony]
        note = choose_bass(material, group)
        if held >= group.end and found[-1].note.midi <= note.midi:
            continue
        # struck again within its harmony, it is still the same bass
        held = max(each.end for each in group.notes if each.midi == note.midi)
        found.append(Bass(note, group, max(group.end, held)))
    return [
        Bass(bass.note, bass.group, min(bass.end, found[place + 1].group.onset) if place + 1 < len(found) else bass.end)
        for place, bass in enumerate(found)
    ]


def choose_bass(material: Material, group: Group) -> Note:
    """The lowest note of a group that is the bass of its harmony; else its lowest chord tone; else its lowest note."""
    bass = material.harmony(group.onset).bass
    chosen = [note for note in group.notes if note.pitch.pitch_class == bass and material.is_chord_tone(note)]
    chosen = chosen or [note for note in group.notes if material.is_chord_tone(note)] or list(group.notes)
    return min(chosen, key=lambda note: (note.midi, note.onset, -note.duration, note.id))
