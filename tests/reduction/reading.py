"""An analysis in one line of text, and a stage in one line, so that a test shows both.

    read(score, chords="CEG:4 GBD/B:4", functions={"D5": "passing note > C5"}, left="Alberti bass", melody="right")

``chords`` are the tones with the bass first (or behind a slash), and how many quarters each lasts; ``functions``
overrule ``chord tone`` or, for a note foreign to its chord, ``free``; ``right`` and ``left`` are one texture each for
the whole piece; ``melody`` the staff whose highest notes are the melody.

    line(notes, score, staff=2) == "0 C3+E3+G3 4 | 4 B2+D3+G3 4"

gives onset, pitches and length (in quarters) of what is struck together; a grace note has length ``g``, a rolled chord
an ``r`` behind its length, a moved one an ``m``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby

from sitegen.analysis.nouns import Analysis, Harmony, NoteReading, Texture
from sitegen.analysis.texture.passages import find_passages
from sitegen.reduction import StageNote
from sitegen.reduction.material.indexed import Material, gather
from sitegen.reduction.material.two_voices import is_in_two_voices, with_one_figure
from sitegen.reduction.material.windows import find_windows
from sitegen.reduction.techniques.registry import techniques
from sitegen.score import Score

_TONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def read(
    score: Score,
    chords: str,
    functions: Mapping[str, str] | None = None,
    right: str = "",
    left: str = "",
    inner: str = "",
    key: str = "C major",
) -> Analysis:
    """The analysis that the text spells. ``inner`` are the ids of the inner line."""
    harmonies = _harmonies(score, chords, key)
    readings: dict[str, NoteReading] = {}
    said = functions or {}
    for note in score.notes:
        harmony = next(h for h in harmonies if h.onset <= note.onset < h.end or h is harmonies[-1])
        own = note.pitch.pitch_class in harmony.pitch_classes and not note.grace
        words, _, goal = said.get(note.id, "chord tone" if own else "free").partition(" > ")
        line = "inner" if note.id in inner.split() else None
        readings[note.id] = NoteReading(words, goal or None, line)  # type: ignore[arg-type]
    hands = {staff.hand: staff.number for staff in score.staves}
    textures = tuple(
        Texture(hands[hand], 0, score.end, kind)  # type: ignore[index]
        for hand, kind in (("right", right), ("left", left))
        if kind and hand in hands
    )
    analysis = Analysis(harmonies, readings, textures)
    return replace(analysis, passages=find_passages(score, analysis))


def _harmonies(score: Score, chords: str, key: str) -> tuple[Harmony, ...]:
    found, onset = [], 0
    for chord in chords.split():
        tones, length = chord.split(":")
        names, _, bass = tones.partition("/")
        classes = [_class(name) for name in re.findall(r"[A-G](?:#|b)?", names)]
        duration = score.ticks(Fraction(length))
        low = _class(bass) if bass else classes[0]
        found.append(Harmony(onset, duration, frozenset(classes), low, classes[0], key, symbol=names[:1]))
        onset += duration
    assert onset == score.end, "the chords do not fill the score"
    return tuple(found)


def _class(name: str) -> int:
    return (_TONES[name[0]] + name.count("#") - name[1:].count("b")) % 12


def material(score: Score, chords: str, span: int = 12, **said: object) -> Material:
    """The score with the analysis that the text spells."""
    return gather(score, read(score, chords, **said), span)  # type: ignore[arg-type]


def unsung(made: Material) -> Material:
    """The same music as if none of it were a tune."""
    windows = {
        staff: find_windows(made.score, made.analysis, staff, notes) for staff, notes in made.staff_notes.items()
    }
    two_voices = is_in_two_voices(made.score, made.sounding, windows)
    if two_voices:
        windows = with_one_figure(made.score, windows)
    return replace(made, roles=dict.fromkeys(made.roles, "figure"), windows=windows, two_voices=two_voices)


def reduced(technique: str, made: Material) -> list[StageNote]:
    """What a technique of the table makes."""
    return techniques()[technique].reduce(made)


def line(notes: Sequence[StageNote], score: Score, staff: int = 1) -> str:
    """The notes of one staff in one line."""
    mine = sorted((n for n in notes if n.staff == staff), key=_together)
    return " | ".join(_chord(list(chord), score) for _, chord in groupby(mine, key=_together))


def _together(note: StageNote) -> tuple[int, bool, int, bool]:
    return (note.onset, not note.grace, note.duration, note.rolled)


def _chord(chord: list[StageNote], score: Score) -> str:
    names = "+".join(n.pitch.name for n in sorted(chord, key=lambda n: n.midi))
    length = "g" if chord[0].grace else str(score.quarters(chord[0].duration))
    marks = "r" * chord[0].rolled + "m" * any(n.moved for n in chord)
    return f"{score.quarters(chord[0].onset)} {names} {length}{marks}"
