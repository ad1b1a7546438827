"""``timing.json`` of a stage: when its notes sound, and what their cards say."""

from __future__ import annotations

from sitegen.publishing.datafiles import as_json, stage_data
from sitegen.publishing.outputs.nouns import OfStage, PublishedFile, folder_of, stage_file


def timing_file(stage: str) -> str:
    """Its place below the folder of the piece."""
    return stage_file(stage, "timing.json")


TIMING: PublishedFile[OfStage] = PublishedFile(
    OfStage,
    lambda source: folder_of(source.piece.slug) + timing_file(source.stage.slug),
    lambda source, path: as_json(stage_data(source.piece, source.stage, source.press.words)),
)
