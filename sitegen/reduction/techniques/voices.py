"""The voices of a contrapuntal piece: alone, in pairs that lie one in each hand, the subject wherever it enters, and
more and more voices until all are there.

A voice is whole from its first note to its last, and wherever a stage has notes of an entry it has the whole entry:
nothing is thinned. Voices are those that the analysis follows through the staves; in a piece that is no counterpoint,
those of the score's voice numbers, from high to low by their mean pitch, but for those with less than a twentieth of
the notes.
"""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.reduction.material import Material
from sitegen.reduction.notes import laid_in_hands
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks import counterpoint, lines
from sitegen.reduction.remarks.groups import ALONE, COMPLETE, OUTER, PAIR, TUNE
from sitegen.reduction.techniques.bass_line import bass_line
from sitegen.reduction.techniques.registry import join, technique
from sitegen.reduction.techniques.rungs import Rung
from sitegen.score import Note

FILLING = 2  # a voice in fewer than one bar of so many, and without the subject, is nothing to be studied by itself


def voices(material: Material) -> list[list[Note]]:
    """The voices from high to low, each in order of onset."""
    counterpoint = material.analysis.counterpoint
    if counterpoint is not None:
        return [[material.by_id[note] for note in voice] for voice in counterpoint.voices]
    found: dict[int, list[Note]] = {}
    for note in material.sounding:
        found.setdefault(note.voice, []).append(note)
    real = [notes for notes in found.values() if 20 * len(notes) >= len(material.sounding)]
    return sorted(real, key=lambda notes: -sum(n.midi for n in notes) / len(notes))


def entries(material: Material) -> list[list[Note]]:
    """The notes of the entries of the subject, voice by voice from high to low; none in a piece without one."""
    counterpoint = material.analysis.counterpoint
    if counterpoint is None:
        return []
    found: list[list[Note]] = [[] for _ in counterpoint.voices]
    for entry in counterpoint.entries:
        found[entry.voice] += [material.by_id[note] for note in entry.notes]
    return found


def _alone(material: Material, *numbers: int) -> list[StageNote]:
    """Some voices, counted from the highest; negative numbers from the lowest; nothing where one only fills in."""
    found, subject = voices(material), entries(material)
    for number in numbers:
        bars = {head.bar for note in found[number] for head in note.noteheads}
        if FILLING * len(bars) < len(material.score.bars) and not (subject and subject[number]):
            return []
    return laid_in_hands(material, [found[number] if number else _top(found[0]) for number in numbers])


def _top(voice: Sequence[Note]) -> list[Note]:
    """The highest voice without what it strikes below a note that it holds: another line, which has no voice of its
    own for so few bars."""
    line: list[Note] = []
    above: Note | None = None
    for note in voice:
        if above is not None and above.onset < note.onset < above.end and note.midi < above.midi:
            continue
        line.append(note)
        if above is None or note.end > above.end or note.midi > above.midi:
            above = note
    return line


@technique(
    "highest voice alone",
    "The highest voice as written.",
    "The highest voice by itself.",
    side_study=True,
    listen=ALONE,
    on=(Rung(ladder="counterpoint", after="all voices but the third", side=True),),
)
def highest_voice_alone(material: Material) -> list[StageNote]:
    """The highest voice as written."""
    return _alone(material, 0) if voices(material) else []


@technique(
    "second voice alone",
    "The second voice as written.",
    "The second voice by itself.",
    side_study=True,
    listen=ALONE,
    on=(Rung(ladder="counterpoint", after="highest voice alone", side=True),),
)
def second_voice_alone(material: Material) -> list[StageNote]:
    """The second voice from the top, where there are three or more."""
    return _alone(material, 1) if len(voices(material)) > 2 else []


@technique(
    "third voice alone",
    "The third voice as written.",
    "The third voice by itself.",
    side_study=True,
    listen=ALONE,
    on=(Rung(ladder="counterpoint", after="second voice alone", side=True),),
)
def third_voice_alone(material: Material) -> list[StageNote]:
    """The third voice from the top, where there are four or more."""
    return _alone(material, 2) if len(voices(material)) > 3 else []


@technique(
    "fourth voice alone",
    "The fourth voice as written.",
    "The fourth voice by itself.",
    side_study=True,
    listen=ALONE,
    on=(Rung(ladder="counterpoint", after="third voice alone", side=True),),
)
def fourth_voice_alone(material: Material) -> list[StageNote]:
    """The fourth voice from the top, where there are five or more."""
    return _alone(material, 3) if len(voices(material)) > 4 else []


@technique(
    "lowest voice alone",
    "The lowest voice as written.",
    "The lowest voice by itself.",
    side_study=True,
    listen=ALONE,
    on=(Rung(ladder="counterpoint", after="fourth voice alone", side=True),),
)
def lowest_voice_alone(material: Material) -> list[StageNote]:
    """The lowest voice as written."""
    return _alone(material, -1) if len(voices(material)) > 1 else []


@technique(
    "two highest voices",
    "The two highest voices complete, one in each hand.",
    "The two highest voices, one in each hand.",
    side_study=True,
    listen=(*PAIR, lines.melody_steps),
    on=(Rung(ladder="counterpoint", after="lowest voice alone", side=True),),
)
def two_highest_voices(material: Material) -> list[StageNote]:
    """The two highest voices, where there are three or more."""
    return _alone(material, 0, 1) if len(voices(material)) > 2 else []


@technique(
    "two middle voices",
    "The two voices in the middle complete, one in each hand.",
    "The two voices in the middle, one in each hand.",
    side_study=True,
    listen=PAIR,
    on=(Rung(ladder="counterpoint", after="two highest voices", side=True),),
)
def two_middle_voices(material: Material) -> list[StageNote]:
    """The second and the third voice from the top, where there are four or more."""
    return _alone(material, 1, 2) if len(voices(material)) > 3 else []


@technique(
    "two lowest voices",
    "The two lowest voices complete, one in each hand.",
    "The two lowest voices, one in each hand.",
    side_study=True,
    listen=PAIR,
    on=(Rung(ladder="counterpoint", after="two middle voices", side=True),),
)
def two_lowest_voices(material: Material) -> list[StageNote]:
    """The two lowest voices, where there are three or more."""
    return _alone(material, -2, -1) if len(voices(material)) > 2 else []


@technique(
    "highest and lowest voice",
    "The highest and the lowest voice complete, one in each hand.",
    "The highest and the lowest voice, one in each hand.",
    side_study=True,
    listen=(*PAIR, lines.outer_contrary, lines.melody_steps),
    on=(Rung(ladder="counterpoint", after="two lowest voices", side=True),),
)
def highest_and_lowest_voice(material: Material) -> list[StageNote]:
    """The outer voices, where there are three or more."""
    return _alone(material, 0, -1) if len(voices(material)) > 2 else []


@technique(
    "subject wherever it enters",
    teacher="Every entry of the subject, complete, in the voice that has it.",
    pupil="The subject each time that it enters, and nothing else.",
    listen=(counterpoint.wherever,),
    on=(Rung(ladder="counterpoint", after="bass line", side=True),),
)
def subject_wherever_it_enters(material: Material) -> list[StageNote]:
    """All entries of the subject."""
    return laid_in_hands(material, entries(material))


@technique(
    "subject and lowest voice",
    teacher="Every entry of the subject above the whole lowest voice.",
    pupil="The subject each time that it enters, and the whole lowest voice.",
    listen=(counterpoint.lowest,),
    on=(Rung(ladder="counterpoint", after="highest voice over the bass", side=True),),
)
def subject_and_lowest_voice(material: Material) -> list[StageNote]:
    """All entries, and every note of the lowest voice; nothing where there is no subject."""
    return _whole(material, [-1]) if any(entries(material)) else []


@technique(
    "highest voice over the bass",
    teacher="The highest voice complete over what sounds lowest on the beat.",
    pupil="The highest voice with all its notes, over the bass.",
    listen=(*OUTER, *TUNE),
    on=(Rung(ladder="counterpoint", after="bass line"),),
)
def highest_voice_over_the_bass(material: Material) -> list[StageNote]:
    """Every note of the highest voice over the bass line; and what another voice has alone at the beginning, for until
    the next one joins it is the highest."""
    found = voices(material)
    if not found:
        return []
    highest, opening = (laid_in_hands(material, [line]) for line in (_top(found[0]), _opening(found)))
    return join(highest, opening, material.once(bass_line))


def _opening(found: Sequence[Sequence[Note]]) -> list[Note]:
    """What one voice has before another joins it; nothing where several begin."""
    first, *others = sorted((voice for voice in found if voice), key=lambda voice: voice[0].onset)
    return [note for note in first if note.onset < others[0][0].onset] if others else []


@technique(
    "outer voices complete",
    teacher="The highest and the lowest voice complete, and between them the entries of the subject.",
    pupil="The outer voices with all their notes, and the subject where it enters between them.",
    listen=(counterpoint.between, *COMPLETE),
    on=(Rung(ladder="counterpoint", after="highest voice over the bass"),),
)
def outer_voices_complete(material: Material) -> list[StageNote]:
    """Every note of the highest and the lowest voice, and all entries of the others."""
    return _whole(material, [0, -1])


@technique(
    "all voices but the third",
    teacher="All voices complete but the third from the top, which has the subject only.",
    pupil="All voices; the third from the top only where it has the subject.",
    on=(Rung(ladder="counterpoint", after="outer voices complete"),),
)
def all_voices_but_the_third(material: Material) -> list[StageNote]:
    """The outer voices and the second from the top whole, where there are four or more, and all entries."""
    return _whole(material, [0, 1, -1]) if len(voices(material)) > 3 else outer_voices_complete(material)


def _whole(material: Material, numbers: Sequence[int]) -> list[StageNote]:
    """Some voices whole, and of the others the entries."""
    found = voices(material)
    if not found:
        return []
    chosen = {number % len(found) for number in numbers}
    subject = entries(material) or [[] for _ in found]
    return laid_in_hands(material, [found[k] if k in chosen else subject[k] for k in range(len(found))])
