"""One notation text in, everything that verovio makes of it out."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from importlib.resources import files
from types import MappingProxyType
from typing import Any

import verovio

from sitegen.engraving.casting import Casting
from sitegen.engraving.labels import without_lone_label
from sitegen.engraving.nouns import Engraving, Notation, Performance, Sheet
from sitegen.engraving.playing_order import PlayedBars, bars_of
from sitegen.engraving.rendering import PLAIN, render
from sitegen.engraving.sheets import stack
from sitegen.engraving.squeezing import unsqueezed
from sitegen.engraving.svg import Tidied, tidy
from sitegen.engraving.tempo import at_tempo
from sitegen.engraving.timing import first_tempo, lasts_as_written, read_timing
from sitegen.errors import EngravingError
from sitegen.layouts import EXCERPT, INCIPIT_BARS, LAYOUTS, OPTIONS, Layout

_INPUT = {"musicxml": "xml", "mei": "mei", "humdrum": "humdrum"}

_REMEDY = "Check the score in a notation editor."

_toolkit: verovio.toolkit | None = None
#: The text that is loaded and was only played since: it need not be loaded again for drawing.
_unused: tuple[str, Notation, PlayedBars] | None = None


def engrave(
    text: str,
    notation: Notation,
    pitches: Mapping[str, int],
    bar_quarters: Sequence[float],
    quarters_a_minute: float | None = None,
    noteheads: Mapping[str, Sequence[str]] | None = None,
) -> Engraving:
    """Draw, time and play one stage in all layouts: ``play`` and ``draw`` in one.

    ``quarters_a_minute`` is the tempo at the start, None for the one the text itself gives.
    """
    noteheads = noteheads or {}
    performance = play(text, notation, pitches, bar_quarters, noteheads)
    if quarters_a_minute:
        performance = at_tempo(performance, quarters_a_minute)
    sheets = draw(text, notation, [layout.name for layout in LAYOUTS], frozenset(pitches).union(*noteheads.values()))
    return Engraving(sheets, performance.midi, performance.timing)


def draw(text: str, notation: Notation, layouts: Sequence[str], keep: frozenset[str]) -> dict[str, tuple[Sheet, ...]]:
    """The sheets of these ``layouts``, by name; the ids in ``keep`` stay in the drawing.

    How a layout is drawn can depend on those drawn before it in the same call, and on nothing else. Raises
    ``EngravingError`` where verovio refuses the text.
    """
    toolkit, bars = _take(text, notation)
    casting = Casting(toolkit, bars.indexes, keep)
    return {
        layout.name: stack(unsqueezed(casting, layout.width, layout.printed), layout.first)
        for layout in LAYOUTS
        if layout.name in layouts
    }


def play(
    text: str,
    notation: Notation,
    pitches: Mapping[str, int],
    bar_quarters: Sequence[float],
    noteheads: Mapping[str, Sequence[str]],
) -> Performance:
    """The stage as it is played at the tempo that its text gives.

    ``pitches`` maps the id of every sounding note to its MIDI number; ``noteheads`` lists, for each note of several
    tied heads, their ids in order. ``bar_quarters`` is the length of each bar in quarter notes. Raises
    ``EngravingError`` where verovio refuses the text.
    """
    global _unused
    toolkit, bars = _take(text, notation)
    timemap = _timemap(toolkit)
    timing = read_timing(timemap, pitches, noteheads, bars.played, bar_quarters)
    midi = base64.b64decode(toolkit.renderToMIDI())
    _unused = (text, notation, bars)
    return Performance(timing, midi, first_tempo(timemap), lasts_as_written(timemap, bars.played, bar_quarters))


def _take(text: str, notation: Notation) -> tuple[verovio.toolkit, PlayedBars]:
    """The toolkit with this text, as it is before anything is laid out, and its bars."""
    global _unused
    unused, _unused = _unused, None
    if unused is not None and _toolkit is not None and unused[:2] == (text, notation):
        return _toolkit, unused[2]
    toolkit = _load(text, notation, LAYOUTS[0])
    return toolkit, _bars(toolkit)


def engrave_bars(text: str, notation: Notation, first: int, last: int) -> Sheet:
    """Bars ``first`` to ``last`` (indexes, both included) as one system, for an excerpt.

    Raises ``EngravingError`` where verovio refuses the text.
    """
    toolkit = _load(text, notation, EXCERPT, {"adjustPageWidth": True})
    last = min(last, len(_bars(toolkit).indexes) - 1)
    toolkit.select({"measureRange": f"{first + 1}-{last + 1}"})
    toolkit.redoLayout()
    return stack(_systems(toolkit, _bars(toolkit).indexes, frozenset()), EXCERPT.first)[0]


def engrave_incipit(text: str, notation: Notation) -> Sheet:
    """The first bars of a piece as one system. Raises ``EngravingError`` where verovio refuses the text."""
    return engrave_bars(text, notation, 0, INCIPIT_BARS - 1)


def _load(
    text: str, notation: Notation, layout: Layout, options: Mapping[str, object] = MappingProxyType({})
) -> verovio.toolkit:
    """The toolkit with this text, not laid out: that takes longer than reading it, and is done again for each width."""
    global _toolkit, _unused
    _unused = None
    if _toolkit is None:
        verovio.enableLog(verovio.LOG_OFF)
        verovio.setDefaultResourcePath(str(files("verovio") / "data"))  # each thread knows only its own
        _toolkit = verovio.toolkit()
    _set_options(_toolkit, notation, layout, options)
    if not _toolkit.loadData(without_lone_label(text, notation)):
        raise EngravingError("this stage could not be drawn", _REMEDY)
    return _toolkit


def _set_options(toolkit: verovio.toolkit, notation: Notation, layout: Layout, options: Mapping[str, object]) -> None:
    toolkit.resetOptions()
    toolkit.resetXmlIdSeed(1)
    given = {"inputFrom": _INPUT[notation], "pageWidth": layout.width, "breaks": "none"}
    toolkit.setOptions({**OPTIONS, **PLAIN, **given, **options})


def _timemap(toolkit: verovio.toolkit) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = toolkit.renderToTimemap({"includeMeasures": True})
    return found


def _bars(toolkit: verovio.toolkit) -> PlayedBars:
    """The bars of what is loaded. Raises ``EngravingError`` where there is none."""
    bars = bars_of(toolkit.getMEI({"removeIds": False}))
    if not bars.indexes:
        raise EngravingError("this stage could not be drawn: no bars were found", _REMEDY)
    return bars


def _systems(toolkit: verovio.toolkit, bars: Mapping[str, int], keep: frozenset[str]) -> list[Tidied]:
    return [tidy(render(toolkit, page), bars, keep) for page in range(1, toolkit.getPageCount() + 1)]
