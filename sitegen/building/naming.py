"""Where the files of a piece lie, below ``pieces/<slug>/``."""

from __future__ import annotations

INCIPIT = "incipit.svg"
ANALYSIS = "analysis.json"
CARD = "card.json"
OFFLINE = "offline.json"
MIDI, MUSICXML, TIMING = "stage.mid", "stage.musicxml", "timing.json"


def stage_file(slug: str, name: str) -> str:
    """A file of a stage."""
    return f"stages/{slug}/{name}"


def sheet_file(slug: str, layout: str, number: int) -> str:
    """The ``number``-th sheet of a stage in a layout."""
    return stage_file(slug, f"{layout}-{number}.svg")


def excerpt_file(number: int) -> str:
    """The excerpt that is the ``number``-th by the order of the links."""
    return f"excerpts/{number}.svg"
