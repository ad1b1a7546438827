"""The teacher overrules the analysis and the stages: reading the wishes, finding what they speak of, applying them."""

from sitegen.reduction.adjustments.checking import unmatched
from sitegen.reduction.adjustments.notes import NoteChanges, resolve_notes
from sitegen.reduction.adjustments.parsing import parse_what_can_be, parse_wishes
from sitegen.reduction.adjustments.reading_entries import READINGS
from sitegen.reduction.adjustments.readings import readings_of
from sitegen.reduction.adjustments.stages import apply_changes, own_stage, stretch_of, with_new_titles

__all__ = [
    "READINGS",
    "NoteChanges",
    "apply_changes",
    "own_stage",
    "parse_what_can_be",
    "parse_wishes",
    "readings_of",
    "resolve_notes",
    "stretch_of",
    "unmatched",
    "with_new_titles",
]
