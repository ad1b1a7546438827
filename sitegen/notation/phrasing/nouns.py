"""What a stage is to be marked with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitegen.score import Sign, Slur


@dataclass(frozen=True, slots=True)
class NoteMark:
    """What stands at one note of a stage: ``note`` is its id, ``text`` the name as in MusicXML, or the finger."""

    note: str
    kind: Literal["articulation", "fingering", "fermata"]
    text: str = ""


@dataclass(frozen=True, slots=True)
class Phrasing:
    """The signs of a stage; slurs and marks name its notes by their ids in it."""

    slurs: tuple[Slur, ...] = ()
    signs: tuple[Sign, ...] = ()
    marks: tuple[NoteMark, ...] = ()
