"""``stage.musicxml``: a stage to be opened in a notation editor."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfPlayed, TakenFile, folder_of, stage_file


def musicxml_file(stage: str) -> str:
    """Its place below the folder of the piece."""
    return stage_file(stage, "stage.musicxml")


MUSICXML: TakenFile[OfPlayed] = TakenFile(
    OfPlayed, lambda source: folder_of(source.piece) + musicxml_file(source.stage), lambda source: source.musicxml
)
