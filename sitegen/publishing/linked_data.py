"""What programs read of a piece in its page: a composition and its parts in the words of schema.org (version 29)."""

from __future__ import annotations

from typing import Any

from sitegen.publishing.nouns import PiecePage, StagePage

_NOTATION = "application/vnd.recordare.musicxml+xml"


def composition(piece: PiecePage, base: str, credit: str) -> dict[str, Any]:
    """The piece with its stages; ``base`` is the address of its folder, or leads there from the page, ``credit`` how to
    credit it. Files are named where the licence allows that they are passed on."""
    told = {
        "@context": "https://schema.org",
        "@type": "MusicComposition",
        "name": piece.title,
        "url": base,
        "composer": {"@type": "Person", "name": piece.composer} if piece.composer else None,
        "musicalKey": piece.key,
        "description": piece.summary,
        "keywords": ", ".join(piece.tags),
        "license": piece.rights.address,
        "creditText": credit,
        "hasPart": [
            _part(stage, number, base, piece.rights.adaptations) for number, stage in enumerate(piece.stages, 1)
        ],
    }
    return {name: value for name, value in told.items() if value}


def _part(stage: StagePage, number: int, base: str, offered: bool) -> dict[str, Any]:
    files = ((stage.midi, "audio/midi"), (stage.musicxml, _NOTATION)) if offered else ()
    told = {
        "@type": "MusicComposition",
        "name": stage.title,
        "position": number,
        "url": f"{base}stages/{stage.slug}/",
        "encoding": [
            {"@type": "MediaObject", "contentUrl": base + file, "encodingFormat": kind} for file, kind in files
        ],
    }
    return {name: value for name, value in told.items() if value}
