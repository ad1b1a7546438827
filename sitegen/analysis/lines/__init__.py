"""Melody, bass and inner lines."""

from sitegen.analysis.lines.finding import find_lines

__all__ = [
    "find_lines",
]
