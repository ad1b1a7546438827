"""From a stage to well-formed notation: MusicXML that every program reads."""

from sitegen.notation.publishing import without_page_layout
from sitegen.notation.writing import write_stage

__all__ = ["without_page_layout", "write_stage"]
