"""``site.json``: every piece of the site with the files of its stages, for programs."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from sitegen.publishing.nouns import PiecePage
from sitegen.publishing.outputs import analysis
from sitegen.publishing.outputs.nouns import OfListing, PublishedFile, folder_of

CONTRACT = 1


def _write(source: OfListing, path: str) -> bytes:
    head = {"contract": CONTRACT, "title": source.library.title, "language": source.library.language}
    pieces = b",\n".join(source.entries[slug] for slug in sorted(source.entries))
    return b"".join((as_listed(head)[:-1], b',"pieces":[\n', pieces, b"\n]}\n"))


def as_listed(entry: Mapping[str, Any]) -> bytes:
    """An entry as it stands in the listing."""
    return json.dumps(entry, ensure_ascii=False, separators=(",", ":")).encode()


def entry_of(page: PiecePage) -> dict[str, Any]:
    """A piece as ``site.json`` names it; addresses are relative to that file."""
    base = folder_of(page.slug)
    return {
        "slug": page.slug,
        "title": page.title,
        "composer": page.composer,
        "licence": page.licence,
        **({"library": page.library} if page.library else {}),
        **({"score": base + page.rights.score} if page.rights.score else {}),
        "url": base + "index.html",
        "analysis": base + analysis.FILE,
        "stages": [
            {
                "slug": stage.slug,
                "title": stage.title,
                "note_count": stage.note_count,
                "side_study": stage.side_study,
                "url": f"{base}stages/{stage.slug}/index.html",
                "svg": [
                    {
                        "layout": layout,
                        "files": [base + sheet.file for sheet in sheets],
                        "systems": [
                            [{"first": row.first_bar, "last": row.last_bar} for row in sheet.systems]
                            for sheet in sheets
                        ],
                    }
                    for layout, sheets in stage.sheets.items()
                ],
                "midi": base + stage.midi,
                "musicxml": base + stage.musicxml,
                "timing": base + stage.timing,
            }
            for stage in page.stages
        ],
    }


LISTING: PublishedFile[OfListing] = PublishedFile(OfListing, lambda source: "site.json", _write, schema="site")
