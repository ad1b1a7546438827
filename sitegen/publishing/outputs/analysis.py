"""``analysis.json``: what is understood of a piece, and its ladder, for programs."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfMusic, TakenFile, folder_of

FILE = "analysis.json"

ANALYSIS: TakenFile[OfMusic] = TakenFile(
    OfMusic, lambda source: folder_of(source.piece) + FILE, lambda source: source.analysis, schema="analysis"
)
