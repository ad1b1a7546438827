"""The ladders: which techniques follow each other, by the texture that rules the piece.

A piece that changes texture still has one ladder. The techniques find melody, figure and bass bar by bar: figures
become blocks in either hand, chords stay chords, a run in both hands comes down to the notes on its beats. Only
counterpoint asks for others: where a passage is a fugato its voices stay whole and nothing of them is blocked, so that
a rung names what it does there too. In every ladder, and in such passages, each technique keeps all that the one before
it keeps.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sitegen.analysis import Passage
from sitegen.places.stages import StageName
from sitegen.reduction.ladder.naming import slug_of
from sitegen.reduction.material import FIGURES


@dataclass(frozen=True, slots=True)
class Rung:
    """One stage to be tried. Of two that come to the same, one that is ``optional`` goes, and so where the ladder has
    too many; one that the teacher has ``named`` stays, whatever it adds. A ``side`` study stands beside the rung before
    it; a rung that is ``else_aside`` is one where it adds too little for a main stage. ``title`` replaces the
    technique's name; ``also`` are titles that it had before. ``lasting`` is the name that stays whatever the title is,
    the technique's where it is empty. In a passage of counterpoint stands what another technique makes of it,
    ``in_fugato``, where there is one."""

    technique: str
    optional: bool = False
    side: bool = False
    else_aside: bool = False
    title: str = ""
    also: tuple[str, ...] = ()
    lasting: str = ""
    in_fugato: str = ""
    named: bool = False

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
_OUTER = Rung("outer voices", in_fugato="highest voice over the bass")
_SIMPLE = Rung("simple tune over blocked chords", in_fugato="outer voices complete")
_LEANING = Rung("leaning notes", optional=True, else_aside=True, in_fugato="outer voices complete")
_COMPLETE = Rung("complete melody over blocked chords", in_fugato="all voices but the third")

LADDERS: Mapping[str, tuple[Rung, ...]] = {
    "melody": (
        _BASS,
        _OUTER,
        Rung("harmonic rhythm", side=True),
        _SIMPLE,
        _LEANING,
        Rung("complete melody over bass", side=True, in_fugato="highest voice over the bass"),
        _COMPLETE,
        Rung("inner line with the melody", side=True),
        Rung("right hand alone", side=True),
        Rung("left hand alone", side=True),
    ),
    "figuration": (
        _BASS,
        _OUTER,
        Rung("harmonic rhythm", side=True, title="one chord a harmony"),
        replace(_SIMPLE, title="blocked chords"),
        _LEANING,
        replace(_COMPLETE, optional=True),
        Rung(
            "blocked chords at every turn",
            title="blocked chords at every turn of the figure",
            in_fugato=_COMPLETE.in_fugato,
        ),
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
        Rung("leaning notes alone", title="leaning notes"),
    ),
}


def ladder_of(passages: Sequence[Passage], is_counterpoint: bool, is_sung: bool) -> str:
    """The name of the ladder of a piece with these passages: the melody's, too, where one ``is_sung`` above the
    figures."""
    if is_counterpoint:
        return "counterpoint"
    length = sum(passage.duration for passage in passages)
    figures = sum(passage.duration for passage in passages if _is_figuration(passage))
    return "figuration" if passages and 2 * figures >= length and not is_sung else "melody"


def _is_figuration(passage: Passage) -> bool:
    """Whether the right hand plays figures, or the left alone."""
    return passage.right in FIGURES or (passage.together == "left alone" and passage.left in FIGURES)
