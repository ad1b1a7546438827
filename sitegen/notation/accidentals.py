"""Which notes need an accidental drawn: by the key signature and by what the bar has heard, in every voice of a staff.

An accidental holds for its line or space until the bar line, whatever voice it stood in; a note tied over the bar line
needs none and sets none. The first note of a bar that takes back an accidental of the bar before gets a courtesy sign
(Gould, *Behind Bars*, 2011, "Accidentals"). music21 looks at voices one by one, so this is not left to it.
"""

from __future__ import annotations

from collections.abc import Iterable

from music21 import note, pitch

from sitegen.score.mei_values import signature_alter


def show_accidentals(bars: Iterable[tuple[int, list[note.Note]]]) -> None:
    """Set the display of every accidental. ``bars`` gives, for one staff, the key signature (in fifths) and the notes
    of each bar in order of onset, whatever their voice."""
    before: dict[tuple[str, int], int] = {}
    for fifths, notes in bars:
        heard: dict[tuple[str, int], int] = {}
        for n in notes:
            place = n.pitch.step, n.pitch.implicitOctave
            alter = int(n.pitch.alter)
            tied = n.tie is not None and n.tie.type in ("stop", "continue")
            in_force = heard.get(place, signature_alter(place[0], fifths))
            courtesy = place not in heard and before.get(place, alter) != alter
            shown = not (tied and place not in heard) and (alter != in_force or courtesy)
            if n.pitch.accidental is None and shown:
                n.pitch.accidental = pitch.Accidental(0)
            if n.pitch.accidental is not None:
                n.pitch.accidental.displayStatus = shown
            if not tied or place in heard:
                heard[place] = alter
        before = {place: alter for place, alter in heard.items() if alter != signature_alter(place[0], fifths)}
