"""What programs read of a piece in its page: a composition and its parts in the words of schema.org (version 29)."""

from __future__ import annotations

import re
from typing import Any

from sitegen.publishing.nouns import PiecePage, StagePage

_SPDX = re.compile(r"[A-Za-z0-9.+-]+-\d[A-Za-z0-9.+-]*")
_NOTATION = "application/vnd.recordare.musicxml+xml"


def composition(piece: PiecePage, base: str) -> dict[str, Any]:
    """The piece with its stages; ``base`` is the address of its folder, or leads there from the page."""
    told = {
        "@context": "https://schema.org",
        "@type": "MusicComposition",
        "name": piece.title,
        "url": base,
        "composer": {"@type": "Person", "name": piece.composer} if piece.composer else None,
        "musicalKey": piece.key,
        "description": piece.summary,
        "keywords": ", ".join(piece.tags),
        "license": _licence(piece.licence),
        "creditText": piece.credit,
        "hasPart": [_part(stage, number, base) for number, stage in enumerate(piece.stages, 1)],
    }
    return {name: value for name, value in told.items() if value}


def _part(stage: StagePage, number: int, base: str) -> dict[str, Any]:
    files = ((stage.midi, "audio/midi"), (stage.musicxml, _NOTATION))
    return {
        "@type": "MusicComposition",
        "name": stage.title,
        "position": number,
        "url": f"{base}stages/{stage.slug}/",
        "encoding": [
            {"@type": "MediaObject", "contentUrl": base + file, "encodingFormat": kind} for file, kind in files
        ],
    }


def _licence(licence: str) -> str:
    """The page of an SPDX identifier; other words are no address."""
    return f"https://spdx.org/licenses/{licence}.html" if _SPDX.fullmatch(licence) else ""
