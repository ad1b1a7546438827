"""The picture that stands for a piece where others link to it."""

from __future__ import annotations

from sitegen.publishing.card_picture import card_picture


def draw_card(svg: str) -> bytes:
    """The first bars as PNG."""
    return card_picture(svg)
