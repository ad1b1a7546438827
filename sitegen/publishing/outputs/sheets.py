"""The drawings of a stage, ``<layout>-1.svg``, ``<layout>-2.svg`` ...: sheets of several systems."""

from __future__ import annotations

from sitegen.publishing.outputs.nouns import OfSheet, TakenFile, folder_of, stage_file


def sheet_file(stage: str, layout: str, number: int) -> str:
    """The place of the ``number``-th sheet of a stage in a layout, below the folder of the piece."""
    return stage_file(stage, f"{layout}-{number}.svg")


SHEET: TakenFile[OfSheet] = TakenFile(
    OfSheet,
    lambda source: folder_of(source.piece) + sheet_file(source.stage, source.layout, source.number),
    lambda source: source.drawing,
)
