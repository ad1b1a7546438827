"""Distances between two keys of the piano in a musician's words."""

from __future__ import annotations

_NAMES = (
    "unison", "minor second", "second", "minor third", "third", "fourth", "augmented fourth", "fifth", "minor sixth",
    "sixth", "minor seventh", "seventh", "octave", "minor ninth", "ninth", "minor tenth", "tenth", "eleventh",
    "augmented eleventh", "twelfth", "minor thirteenth", "thirteenth", "minor fourteenth", "fourteenth", "two octaves",
)  # fmt: skip


def interval_name(semitones: int) -> str:
    """A stretch by its name: 16 is ``tenth`` (the major one, as musicians say it of a stretch), 15 ``minor tenth``.

    Beyond two octaves it is told in octaves and the rest: ``two octaves and a third``.
    """
    if semitones < len(_NAMES):
        return _NAMES[semitones]
    octaves, rest = divmod(semitones, 12)
    words = f"{('two', 'three', 'four', 'five', 'six', 'seven')[min(octaves, 7) - 2]} octaves"
    return f"{words} and {with_article(_NAMES[rest])}" if rest else words


def with_article(name: str) -> str:
    """``a tenth``, ``an octave``; nothing before ``two octaves``."""
    if "octaves" in name:
        return name
    return f"an {name}" if name[0] in "aeo" else f"a {name}"
