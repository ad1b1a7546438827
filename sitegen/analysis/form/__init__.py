"""Phrases, their cadences, and what they make together."""

from sitegen.analysis.form.cadences import FIRMNESS, HALF, WITH_ARTICLE
from sitegen.analysis.form.forms import find_forms, full_bars
from sitegen.analysis.form.phrases import find_phrases, melody_line

__all__ = [
    "FIRMNESS",
    "HALF",
    "WITH_ARTICLE",
    "find_forms",
    "find_phrases",
    "full_bars",
    "melody_line",
]
