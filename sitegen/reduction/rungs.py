"""The ladders: which techniques follow each other, by the texture that rules the piece.

Each rung names its technique and what it does instead in stretches of another texture, so that a piece that changes
texture still has one ladder. In every ladder, and in every kind of stretch, each technique keeps all that the one
before it keeps.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from sitegen.places.stages import StageName
from sitegen.reduction.naming import slug_of
from sitegen.reduction.stretches import Kind

NAMED = -1  # how optional a stage is that the teacher names: it stays, whatever it adds
_NOTHING: Mapping[Kind, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Rung:
    """One stage to be tried. Where the ladder has too many the rungs that are ``optional`` most go first; those with 0
    stay. A ``side`` study stands beside the rung before it; a rung that is ``else_aside`` is one
    where it adds too little for a main stage. ``title`` replaces the technique's name; ``also`` are titles that it had
    before. ``lasting`` is the name that stays whatever the title is, the technique's where it is empty."""

    technique: str
    optional: int = 0
    side: bool = False
    else_aside: bool = False
    title: str = ""
    also: tuple[str, ...] = ()
    lasting: str = ""
    instead: Mapping[Kind, str] = field(default_factory=lambda: _NOTHING)

    @property
    def name(self) -> str:
        """What the stage is called: its own title, else its technique."""
        return self.title or self.technique

    @property
    def called(self) -> StageName:
        """What a teacher may call this stage."""
        also = tuple(name for name in (self.technique, *self.also) if name)
        return StageName(self.lasting or slug_of(self.technique), (self.name,), also)


_BASS = Rung("bass line")
_OUTER = Rung("outer voices")
_SIMPLE = Rung("simple tune over blocked chords")
_LEANING = Rung("leaning notes", optional=1, else_aside=True)
_COMPLETE = Rung("complete melody over blocked chords")

LADDERS: Mapping[str, tuple[Rung, ...]] = {
    "melody": (
        _BASS,
        _OUTER,
        Rung("harmonic rhythm", side=True),
        _SIMPLE,
        _LEANING,
        Rung("complete melody over bass", side=True),
        _COMPLETE,
        Rung("inner line with the melody", side=True),
        Rung("right hand alone", side=True),
        Rung("left hand alone", side=True),
    ),
    "figuration": (
        _BASS,
        _OUTER,
        Rung("simple tune over blocked chords", title="blocked chords"),
        _LEANING,
        Rung("complete melody over blocked chords", optional=1),
        Rung("blocked chords at every turn", title="blocked chords at every turn of the figure"),
        Rung("inner line alone", side=True),
        Rung("right hand alone", side=True),
        Rung("left hand alone", side=True),
    ),
    "counterpoint": (
        _BASS,
        Rung("subject wherever it enters", side=True),
        Rung("highest voice over the bass"),
        Rung("subject and lowest voice", side=True),
        Rung("outer voices complete"),
        Rung("all voices but the third"),
        Rung("highest voice alone", side=True),
        Rung("second voice alone", side=True),
        Rung("third voice alone", side=True),
        Rung("fourth voice alone", side=True),
        Rung("lowest voice alone", side=True),
        Rung("two highest voices", side=True),
        Rung("two middle voices", side=True),
        Rung("two lowest voices", side=True),
        Rung("highest and lowest voice", side=True),
    ),
    "one line": (
        Rung("outer voices", title="main notes of the melody"),
        Rung("simple tune"),
        Rung("leaning notes alone", title="leaning notes", optional=1),
    ),
}


def ladder_of(kind: Kind, is_sung: bool) -> str:
    """The name of the ladder for a piece that is mostly of ``kind``: the melody's, too, where one ``is_sung`` above
    the figures."""
    if kind == "figuration" and is_sung:
        return "melody"
    return kind if kind in LADDERS else "melody"
