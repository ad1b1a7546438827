"""Remarks on a stage, by what they speak of. Each takes what the stage shows (``shown``) and gives sentences, the most
telling first: only such as the notes of this very stage bear out."""

from sitegen.reduction.remarks.lines import PARALLELS
from sitegen.reduction.remarks.listen_texts import SENTENCES, text_of
from sitegen.reduction.remarks.wording import INTERVALS

__all__ = [
    "INTERVALS",
    "PARALLELS",
    "SENTENCES",
    "text_of",
]
