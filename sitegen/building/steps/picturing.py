"""The picture that stands for a piece where others link to it."""

from __future__ import annotations

from sitegen.publishing.card_picture import card_picture
from sitegen.publishing.cards import card_from_bytes


def draw_card(svg: str, card: bytes) -> bytes:
    """Title, composer and first bars of a piece as PNG; ``card`` is what its pages made for the gallery."""
    shown = card_from_bytes(card)
    return card_picture(svg, shown.title, shown.composer) if shown else card_picture(svg)
