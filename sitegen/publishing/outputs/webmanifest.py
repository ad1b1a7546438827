"""``site.webmanifest``: how the site looks on the home screen of a phone."""

from __future__ import annotations

from sitegen.publishing.datafiles import as_json
from sitegen.publishing.outputs.nouns import OfSite, PublishedFile


def _write(source: OfSite, path: str) -> bytes:
    library = source.press.library
    return as_json(
        {
            "name": library.title,
            "short_name": library.title[:20],
            "lang": library.language,
            "dir": source.press.words.direction,
            "start_url": "./index.html",
            "scope": "./",
            "display": "standalone",
            "background_color": source.press.theme.colours["light"]["paper"],
            "theme_color": source.press.theme.colours["light"]["paper"],
            "icons": [
                {"src": "icons/icon.svg", "sizes": "any", "type": "image/svg+xml"},
                {"src": "icons/icon-192.png", "sizes": "192x192", "type": "image/png"},
                {"src": "icons/icon-512.png", "sizes": "512x512", "type": "image/png", "purpose": "any maskable"},
            ],
        }
    )


WEB_MANIFEST: PublishedFile[OfSite] = PublishedFile(OfSite, lambda source: "site.webmanifest", _write)
