"""The fonts that verovio brings, without loading verovio: its music font, and how wide the words of a drawing are."""

from __future__ import annotations

import base64
import re
from collections.abc import Mapping
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from sitegen.errors import EngravingError

_TOLD = re.compile(r'([\w-]+)="([^"]*)"')


def music_font() -> bytes:
    """The music font as WOFF2, for the notes in tempo marks (Leipzig, under the SIL Open Font Licence)."""
    return base64.b64decode(_found(r"base64,([A-Za-z0-9+/=]+)", "Leipzig.css"))


@cache
def outline_of(code: str) -> str:
    """The outline of a glyph of the music font by its code, in thousandths of an em."""
    return _found(r' d="([^"]*)"', f"Leipzig/{code}.xml")


@cache
def advance_of(code: str) -> float:
    """How far a glyph of the music font takes what follows it, in thousandths of an em."""
    return float(_found(rf'<g c="{code}"[^>]* h-a-x="([\d.]+)"', "Leipzig.xml"))


def width_of(words: str, style: Mapping[str, str]) -> float:
    """How wide words of a drawing are in its units, set in the size, weight and style that their attributes say; a sign
    that the font does not have counts as a figure."""
    name = "".join(
        f"-{kind}" for kind, told in (("bold", "font-weight"), ("italic", "font-style")) if style.get(told) == kind
    )
    widths = _widths(f"text/Times{name}.xml")
    return sum(widths.get(sign, widths["0"]) for sign in words) * float(style["font-size"].removesuffix("px"))


@cache
def _widths(file: str) -> dict[str, float]:
    """The widths of the signs of a text font in ems: how far a sign takes what follows it; where the font tells nothing
    of that, as its italics do of most, to where its ink ends."""
    ems = float(_found(r'units-per-em="([\d.]+)"', file))
    widths = {}
    for told in re.findall(r"<g [^>]*>", _data(file)):
        sign = dict(_TOLD.findall(told))
        taken = sign.get("h-a-x") or float(sign["x"]) + float(sign["w"])
        widths[chr(int(sign["c"], 16))] = float(taken) / ems
    return widths | {"\u00a0": widths[" "]}


def _found(pattern: str, file: str) -> str:
    found = re.search(pattern, _data(file))
    if found is None:
        raise EngravingError("verovio brings no music font", "Install the version that pyproject.toml asks for.")
    return found[1]


def _data(file: str) -> str:
    """A file of those that verovio reads; empty where it has none of that name."""
    spec = find_spec("verovio")
    places = [Path(folder) / "data" / file for folder in (spec.submodule_search_locations or ())] if spec else []
    return next((place.read_text(encoding="utf-8") for place in places if place.is_file()), "")
