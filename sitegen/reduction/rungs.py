"""The ladders: which techniques follow each other, by the texture that rules the piece.

Each rung names its technique and what it does instead in stretches of another texture, so that a piece that changes
texture still has one ladder. In every ladder, and in every kind of stretch, each technique keeps all that the one
before it keeps.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from sitegen.reduction.stretches import Kind

_NOTHING: Mapping[Kind, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Rung:
    """One stage to be tried. Where the ladder has too many the rungs that are ``optional`` most go first; those with 0
    stay. A ``side`` study stands beside the rung before it. ``title`` replaces the technique's name, ``sung`` the title
    where a melody is sung above the figures."""

    technique: str
    optional: int = 0
    side: bool = False
    title: str = ""
    sung: str = ""
    instead: Mapping[Kind, str] = field(default_factory=lambda: _NOTHING)

    @property
    def name(self) -> str:
        """What the stage is called: its own title, else its technique."""
        return self.title or self.technique

    def is_called(self, name: str) -> bool:
        """Whether a teacher may mean this stage by ``name``."""
        return name.lower() in {self.title.lower(), self.sung.lower(), self.technique.lower()} - {""}


_BASS = Rung("bass line")
_OUTER = Rung("outer voices")
_BY_THE_BEAT = Rung("melody by the beat", optional=2, instead={"runs": "melody by its goals"})
_PLAIN = Rung("melody without ornaments", optional=1)
_LEANING = Rung("leaning notes", optional=1)
_ON_BASS = Rung("complete melody over bass", instead={"figuration": "complete melody over chords"})
_BLOCKED = Rung("complete melody over blocked chords")
_HARMONY = Rung("harmonic rhythm", side=True)
_INNER = Rung("inner line with the melody", side=True)

LADDERS: Mapping[str, tuple[Rung, ...]] = {
    "melody": (_BASS, _OUTER, _HARMONY, _BY_THE_BEAT, _PLAIN, _LEANING, _ON_BASS, _INNER, _BLOCKED),
    "runs": (_BASS, _OUTER, _HARMONY, _BY_THE_BEAT, _PLAIN, _ON_BASS, _BLOCKED),
    "figuration": (
        _BASS,
        _OUTER,
        Rung("melody over chords", title="one chord a harmony", sung="melody over chords"),
        Rung("rhythm on one pitch", side=True),
        Rung("complete melody over chords", optional=1),
        Rung(
            "complete melody over blocked chords",
            title="blocked chords",
            sung="complete melody over blocked chords",
        ),
        Rung("inner line alone", side=True),
    ),
    "chords": (
        _BASS,
        _OUTER,
        _HARMONY,
        _BY_THE_BEAT,
        _PLAIN,
        Rung("complete melody over bass"),
        _INNER,
        Rung("doublings dropped", optional=1),
    ),
    "counterpoint": (
        Rung("subject wherever it enters"),
        Rung("subject and lowest voice"),
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
        Rung("melody by the beat", title="melody by the beat"),
        Rung("melody without ornaments", optional=1),
        Rung("leaning notes", optional=1),
    ),
}
