"""``timing.json`` of a stage: when its notes sound, and what their cards say."""

from __future__ import annotations

from sitegen.publishing.datafiles import as_json, stage_data
from sitegen.publishing.outputs.nouns import OfStage, PublishedFile

TIMING: PublishedFile[OfStage] = PublishedFile(
    lambda source: f"pieces/{source.piece.slug}/{source.stage.timing}",
    lambda source, path: as_json(stage_data(source.piece, source.stage, source.press.words)),
)
