"""In which octave a note sounds: under the octave signs of MEI, and where it is written beyond the keyboard.

Source: the MEI guidelines, ``octave`` and ``oct.ges``: a note under such a sign sounds higher or lower than it is
written, unless it says itself what sounds.
"""

from __future__ import annotations

from fractions import Fraction

from sitegen.score.layers import XML_ID
from sitegen.score.nouns import Pitch
from sitegen.score.signs_found import SignPlace
from sitegen.score.sounding import on_keyboard
from sitegen.score.walking import Walk


def sound_octaves(walk: Walk) -> None:
    """Move the notes that ``walk`` found under octave signs to where they sound."""
    places: dict[str, SignPlace] = {}
    for note in walk.notes:
        places[note.id] = note.bar, note.onset
        if note.event.parent is not None:
            places[note.event.parent.get(XML_ID, "")] = note.bar, note.onset
    for sign in walk.phrasing.signs:
        if sign.kind != "octave":
            continue
        start, end = (places.get(at) if isinstance(at, str) else at for at in (sign.start, sign.end))
        if start is None or end is None:
            continue
        for note in walk.notes:
            under = note.staff == sign.staff and _within(start, (note.bar, note.onset), end)
            if under and not note.event.element.get("oct.ges"):
                old = note.pitch
                note.pitch = Pitch(old.step, old.alter, old.octave + int(sign.text))


def _within(start: SignPlace, place: SignPlace, end: SignPlace) -> bool:
    slack = Fraction(1, 96)
    return (start[0], start[1] - slack) <= place <= (end[0], end[1] + slack)


def keep_on_keyboard(walk: Walk) -> None:
    """Bring a note that no piano has into the nearest octave that it has, and say it."""
    for note in walk.notes:
        sounds = on_keyboard(note.pitch)
        if sounds is not note.pitch:
            said = f"{note.pitch.name} lies beyond the keyboard; it is played as {sounds.name}"
            remedy = "Correct its octave, its clef or its octave sign."
            walk.odd.add(f"bar {walk.bars[note.bar].number}", said, remedy)
            note.pitch = sounds
