"""The score itself."""

from __future__ import annotations

from sitegen.reduction.material import Material
from sitegen.reduction.notes import as_is
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.remarks.groups import WRITTEN
from sitegen.reduction.techniques.registry import technique


@technique(
    "as written",
    teacher="The printed score.",
    pupil="The piece as it is printed.",
    listen=WRITTEN,
)
def as_written(material: Material) -> list[StageNote]:
    """Every note of the score, graces included, standing for itself."""
    return [as_is(note) for note in material.score.notes]
