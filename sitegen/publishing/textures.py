"""What the hands do in a piece, each texture once: one that comes back is named where it first came."""

from __future__ import annotations

from collections.abc import Iterable

from sitegen.publishing.heard import PassageInfo


def bars_by_texture(passages: Iterable[PassageInfo]) -> dict[str, list[tuple[int, int]]]:
    """The stretches of bars (indices of the first and the last) of each texture, in the order in which textures first
    appear. Passages that follow each other and are of one texture in words are one stretch."""
    found: dict[str, list[tuple[int, int]]] = {}
    for passage in passages:
        stretches = found.setdefault(passage.words, [])
        first = passage.first_bar
        if stretches and stretches[-1][1] + 1 >= first:
            first = stretches.pop()[0]
        stretches.append((first, passage.last_bar))
    return found
