"""The teacher overrules the analysis and the stages: reading the wishes, finding what they speak of, applying them."""

from sitegen.reduction.adjustments.checking import unmatched
from sitegen.reduction.adjustments.parsing import parse_what_can_be, parse_wishes
from sitegen.reduction.adjustments.reading_entries import READINGS
from sitegen.reduction.adjustments.readings import readings_of

__all__ = ["READINGS", "parse_what_can_be", "parse_wishes", "readings_of", "unmatched"]
