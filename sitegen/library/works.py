"""Which pieces are ladders of the same work, to be shown side by side.

They are where they name the same ``work:``; and where title and composer agree and they come from different libraries,
for within one library two pieces of one title are two pieces.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from sitegen.library.nouns import Piece
from sitegen.library.slugs import slug_of


def works_of(pieces: Iterable[Piece]) -> dict[str, str]:
    """By slug of each piece that is not the only ladder of its work, the name of the work in addresses."""
    by_work: dict[str, list[Piece]] = defaultdict(list)
    for piece in pieces:
        matter = piece.matter
        if not piece.bare and (matter.work or matter.composer):
            by_work[slug_of(matter.work or f"{matter.composer} {matter.title}")].append(piece)
    return {
        piece.slug: work
        for work, alike in by_work.items()
        if len(alike) > 1 and (all(one.matter.work for one in alike) or len({one.origin for one in alike}) > 1)
        for piece in alike
    }
