"""The picture that stands for a piece where others link to it: its first bars on a leaf of paper, as PNG.

Words in the drawing (a tempo, a fingering) are left out: with which fonts they would be drawn differs from machine to
machine, and a site is the same wherever it is built.
"""

from __future__ import annotations

import re

import resvg_py

WIDTH, HEIGHT = 1200, 630
"""Pixels: what the Open Graph protocol's readers show uncut."""
_MARGIN = 60
_PAPER, _INK = "#fcf9f2", "#23201b"
_VIEW = re.compile(r'<svg\b[^>]*\bviewBox="0 0 ([\d.]+) ([\d.]+)"')


def card_picture(svg: str) -> bytes:
    """The picture of a drawing of one system. Raises ``ValueError`` for what is no such drawing."""
    view = _VIEW.match(svg)
    if view is None:
        raise ValueError("no drawing with a view")
    width, height = float(view[1]), float(view[2])
    scale = min((WIDTH - 2 * _MARGIN) / width, (HEIGHT - 2 * _MARGIN) / height)
    place = {
        "x": (WIDTH - scale * width) / 2, "y": (HEIGHT - scale * height) / 2, "width": scale * width,
        "height": scale * height,
    }  # fmt: skip
    placed = " ".join(f'{name}="{value:.2f}"' for name, value in place.items())
    leaf = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" color="{_INK}">'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{_PAPER}"/>{svg.replace("<svg", f"<svg {placed}", 1)}</svg>'
    )
    return bytes(resvg_py.svg_to_bytes(svg_string=leaf, skip_system_fonts=True))
