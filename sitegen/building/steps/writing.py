"""A stage as MusicXML, but for its title."""

from __future__ import annotations

import re

from sitegen.building.steps.nouns import NoteIds, Outputs
from sitegen.building.steps.titling import TITLE
from sitegen.notation.writing import write_stage
from sitegen.reduction import Stage, StageNote
from sitegen.score.nouns import Score

_HEAD = re.compile(r'<note\b[^>]*\bid="([^"]+)\.(\d+)"')


def write(score: Score, notes: tuple[StageNote, ...]) -> Outputs:
    """``text``, in which ``TITLE`` stands for the stage's title, and ``heads``, the ids under which it is drawn."""
    text = write_stage(score, Stage("", TITLE, (), notes))
    return Outputs(text=text, heads=NoteIds(tuple(n.id for n in notes), _tied(text, frozenset(n.id for n in notes))))


def _tied(musicxml: str, notes: frozenset[str]) -> dict[str, tuple[str, ...]]:
    """The heads of tied notes as ``write_stage`` names them: the note's id, and after a dot their number."""
    found: dict[str, list[str]] = {}
    for name, number in _HEAD.findall(musicxml):
        head = f"{name}.{number}"
        if name in notes and head not in notes:
            found.setdefault(name, [name]).append(head)
    return {name: tuple(ids) for name, ids in found.items()}
