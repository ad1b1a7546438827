"""``assets/tools-....js``: what only scripts need, and all pages alike: words, the player, settings and help."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfSite, PublishedFile

TOOLS: PublishedFile[OfSite] = PublishedFile(
    OfSite, lambda source: source.press.tools.path, lambda source, path: source.press.tools.data
)
