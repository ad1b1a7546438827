"""From a stage to well-formed notation: MusicXML that every program reads."""

from sitegen.notation.writing import write_stage

__all__ = ["write_stage"]
