"""Which notes need an accidental drawn: by the key signature and by what the bar has heard, in every voice of a staff.

An accidental holds for its line or space until the bar line, whatever voice it stood in; a note tied over the bar line
needs none and sets none. The first note of a bar that takes back an accidental of the bar before gets a courtesy sign
(Gould, *Behind Bars*, 2011, "Accidentals").
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from sitegen.fifths import signature_alter
from sitegen.notation.written import Written, WrittenHead


def show_accidentals(bars: Iterable[tuple[int, Sequence[Sequence[Written]]]]) -> None:
    """Say of every head whether its accidental is drawn. ``bars`` gives, for one staff, the key signature (in fifths)
    and the voices of each bar."""
    before: dict[tuple[str, int], int] = {}
    for fifths, voices in bars:
        heard: dict[tuple[str, int], int] = {}
        for head in _by_onset(voices):
            pitch = head.pitch
            place, alter = (pitch.step, pitch.octave), pitch.alter
            known = heard.get(place)
            in_force = signature_alter(pitch.step, fifths) if known is None else known
            if known is None and head.tied_from:
                continue
            head.accidental = alter != in_force or (known is None and before.get(place, alter) != alter)
            heard[place] = alter
        before = {place: alter for place, alter in heard.items() if alter != signature_alter(place[0], fifths)}


def _by_onset(voices: Sequence[Sequence[Written]]) -> Iterator[WrittenHead]:
    """Every head of a bar by onset; graces before the note they lead to."""
    if len(voices) == 1:
        return (head for written in voices[0] for head in written.heads)
    found = [
        (written.onset, not written.grace, order, head)
        for voice in voices
        for order, written in enumerate(w for w in voice if w.heads)
        for head in written.heads
    ]
    return (head for *_, head in sorted(found, key=lambda f: f[:3]))
