"""The rungs of the ladders, and which ladder a piece has: that of the texture that rules it.

Each technique says in its row on which ladders it stands, and after which other (``ladders`` lays them out).

A piece that changes texture still has one ladder. The techniques find melody, figure and bass bar by bar: figures
become blocks in either hand, chords stay chords, a run in both hands comes down to the notes on its beats. Only
counterpoint asks for others: where a passage is a fugato its voices stay whole and nothing of them is blocked, so that
a rung names what it does there too. In every ladder, and in such passages, each technique keeps all that the one before
it keeps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.analysis import Passage
from sitegen.places.letters import in_addresses
from sitegen.places.stages import StageName
from sitegen.reduction.material import FIGURES

LADDERS = ("melody", "figuration", "counterpoint", "one line")


def slug_of(title: str) -> str:
    """A title in lower case letters, figures and hyphens, beginning with a letter: safe in a URL and in an XML id."""
    slug = in_addresses(title)
    return slug if slug[:1].isalpha() else f"stage-{slug}".rstrip("-")


@dataclass(frozen=True, slots=True)
class Rung:
    """One stage to be tried. Of two that come to the same, one that is ``optional`` goes, and so where the ladder has
    too many; one that the teacher has ``named`` stays, whatever it adds. A ``side`` study stands beside the rung before
    it; a rung that is ``else_aside`` is one where it adds too little for a main stage. ``title`` replaces the
    technique's name; ``also`` are titles that it had before. ``lasting`` is the name that stays whatever the title is,
    the technique's where it is empty. In a passage of counterpoint stands what another technique makes of it,
    ``in_fugato``, where there is one. In the row of a technique ``ladder`` is the one that it stands on, ``after`` the
    technique that it follows there, empty for the first."""

    technique: str = ""
    optional: bool = False
    side: bool = False
    else_aside: bool = False
    title: str = ""
    also: tuple[str, ...] = ()
    lasting: str = ""
    in_fugato: str = ""
    named: bool = False
    ladder: str = ""
    after: str = ""

    @property
    def name(self) -> str:
        """What the stage is called: its own title, else its technique."""
        return self.title or self.technique

    @property
    def called(self) -> StageName:
        """What a teacher may call this stage."""
        also = tuple(name for name in (self.technique, *self.also) if name)
        return StageName(self.lasting or slug_of(self.technique), (self.name,), also)


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
