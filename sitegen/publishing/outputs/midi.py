"""``stage.mid``: a stage to be heard in other programs."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfPlayed, TakenFile, folder_of, stage_file


def midi_file(stage: str) -> str:
    """Its place below the folder of the piece."""
    return stage_file(stage, "stage.mid")


MIDI: TakenFile[OfPlayed] = TakenFile(
    OfPlayed, lambda source: folder_of(source.piece) + midi_file(source.stage), lambda source: source.midi
)
