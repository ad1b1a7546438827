"""The picture that stands for a piece where others link to it: its title, its composer and its first bars on a leaf of
paper, as PNG.

Title and composer are shapes (``letter_shapes``), and where one of their letters has none, the first bars stand
alone. Words within the drawing (a tempo, a fingering) are left out: with which fonts they would be drawn differs from
machine to machine, and a site is the same wherever it is built.
"""

from __future__ import annotations

import re

import resvg_py

from sitegen.publishing.letter_shapes import letter

WIDTH, HEIGHT = 1200, 630
"""Pixels: what the Open Graph protocol's readers show uncut."""
_MARGIN = 60
_TITLE, _COMPOSER = 60, 36
"""Pixels of an em: words that are read where the picture is shown in a third of its size, too."""
_PAPER, _INK, _QUIET = "#fcf9f2", "#23201b", "#5d564b"
_VIEW = re.compile(r'<svg\b[^>]*\bviewBox="0 0 ([\d.]+) ([\d.]+)"')


def card_picture(svg: str, title: str = "", composer: str = "") -> bytes:
    """The picture of a drawing of one system. Raises ``ValueError`` for what is no such drawing."""
    view = _VIEW.match(svg)
    if view is None:
        raise ValueError("no drawing with a view")
    words, top = _words(title, composer)
    width, height = float(view[1]), float(view[2])
    scale = min((WIDTH - 2 * _MARGIN) / width, (HEIGHT - _MARGIN - top) / height)
    place = {
        "x": (WIDTH - scale * width) / 2, "y": top + (HEIGHT - _MARGIN - top - scale * height) / 2,
        "width": scale * width, "height": scale * height,
    }  # fmt: skip
    placed = " ".join(f'{name}="{value:.2f}"' for name, value in place.items())
    leaf = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" color="{_INK}">'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{_PAPER}"/>{words}'
        f"{svg.replace('<svg', f'<svg {placed}', 1)}</svg>"
    )
    return bytes(resvg_py.svg_to_bytes(svg_string=leaf, skip_system_fonts=True))


def _words(title: str, composer: str) -> tuple[str, float]:
    """Title and composer as SVG, and where the music begins below them."""
    room = WIDTH - 2 * _MARGIN
    called = letter(title, _TITLE, _MARGIN, _MARGIN - 0.2 * _TITLE, room, 2)
    if called is None:
        return "", _MARGIN
    by = letter(composer, _COMPOSER, _MARGIN, called.end, room, 1)
    told = f'<g fill="{_INK}">{called.svg}</g>' + (f'<g fill="{_QUIET}">{by.svg}</g>' if by else "")
    return told, (by or called).end + _MARGIN / 2
