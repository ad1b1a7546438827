"""Making verovio's SVG fit to publish: small, free of styles and scripts, the same at every run.

verovio puts a style sheet into each file, which a strict Content-Security-Policy refuses, an id on every group, of
which only the notes' are used, and a random suffix on every glyph, which keeps drawings from sharing them.
"""

from __future__ import annotations

import html
import re
from collections.abc import Mapping

_TEXT_STYLES = {
    "tempo": 'font-weight="bold"',
    "reh": 'font-weight="bold"',
    "fing": 'font-weight="bold"',
    "ending": 'font-weight="bold"',
    "dir": 'font-style="italic"',
    "dynam": 'font-style="italic"',
    "mNum": 'font-style="italic"',
}
_PLACEHOLDER = re.compile(r'<g[^>]*class="[^"]*\bplaceholder\b[^"]*">(?:<ellipse[^>]*/>)?</g>')
_ROOT = re.compile(r'<svg viewBox="0 0 ([\d.]+) ([\d.]+)"[^>]*>')
_GROUP = re.compile(r"<(g|tspan|text|svg)((?: [\w:.-]+=\"[^\"]*\")*)( ?/?)>")
_ID = re.compile(r' id="([^"]*)"')
_CLASS = re.compile(r' class="([^"]*)"')
#: The notes of tempo marks as every text font has them, since a picture cannot load a music font.
_NOTES_IN_TEXT = {
    "\ueca5": "\u2669",
    "\ueca7": "\u266a",
    "\ue1d5": "\u2669",
    "\ue1d7": "\u266a",
    "\uecb7": ".",
    "\ue1e7": ".",
}
_MUSIC_TEXT = re.compile(r'<tspan([^>]*) font-family="Leipzig"([^>]*)>([^<]*)</tspan>')
_GLYPH_ID = re.compile(r'<g id="([0-9A-F]{4})-[^"]*"')
_GLYPH_USE = re.compile(r'href="#([0-9A-F]{4})-[^"]*"')
_DRAWN = re.compile(r"<(path|rect|ellipse|polygon|polyline)\b(?=[^>]*stroke-width=)(?![^>]*stroke=)")
_FINE = re.compile(r' id="[^"]*"|>[^<]+|(\d+\.\d)\d+')


def tidy(svg: str, bars: Mapping[str, int], keep: frozenset[str]) -> tuple[str, float, float, list[int]]:
    """The file made fit, its width and height in units, and the indexes of the bars in it.

    ``bars`` gives the index of each measure id, ``keep`` the ids of notes to keep.
    """
    svg = re.sub(r"\s*<(style|desc)\b.*?</\1>", "", svg, flags=re.S)
    svg = re.sub(r">\s+<", "><", svg)
    svg = _PLACEHOLDER.sub("", svg)
    svg = svg.replace(">(</tspan>", ">\u00a0(</tspan>")
    svg = _MUSIC_TEXT.sub(_plain_note, svg)
    svg = _GLYPH_ID.sub(r'<g id="\1"', svg)
    svg = _GLYPH_USE.sub(r'href="#\1"', svg)
    # the page gives the colour: ``fill`` and ``stroke`` are set to it
    svg = svg.replace(' color="black"', "")
    svg = _DRAWN.sub(r'<\1 stroke="currentColor"', svg)
    seen: list[int] = []

    def group(match: re.Match[str]) -> str:
        name, attributes, end = match[1], match[2], match[3]
        found_class, found_id = _CLASS.search(attributes), _ID.search(attributes)
        kinds = found_class[1].split() if found_class else []
        if found_id and found_id[1] not in keep and not re.fullmatch("[0-9A-F]{4}", found_id[1]):
            attributes = attributes.replace(found_id[0], "")
        if "measure" in kinds and found_id and found_id[1] in bars:
            seen.append(bars[found_id[1]])
            attributes += f' data-bar="{bars[found_id[1]]}"'
        for kind in kinds:
            if kind in _TEXT_STYLES and name == "g":
                attributes += " " + _TEXT_STYLES[kind]
        return f"<{name}{attributes}{end}>"

    root = _ROOT.search(svg)
    width, height = (float(root[1]), float(root[2])) if root else (0.0, 0.0)
    svg = _GROUP.sub(group, svg)
    svg = _ROOT.sub(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" fill="currentColor">', svg, count=1
    )
    return _FINE.sub(lambda match: match[1] or match[0], svg), width, height, seen


def _plain_note(match: re.Match[str]) -> str:
    """Text in the music font as text in any font, where all of its signs have a counterpart there."""
    before, after, text = match[1], match[2], html.unescape(match[3])
    if any(sign not in _NOTES_IN_TEXT for sign in text.replace(" ", "")):
        return match[0]
    return f"<tspan{before}{after}>{''.join(_NOTES_IN_TEXT.get(sign, '') for sign in text)}</tspan>"
