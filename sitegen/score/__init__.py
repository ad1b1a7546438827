"""What is written: the nouns of a score, and reading them from files."""

from typing import TYPE_CHECKING

from sitegen.passing_on import passing_on
from sitegen.score.nouns import Bar, Clef, Hand, Metre, Note, Notehead, Pitch, Score, Staff, Tempo
from sitegen.score.sign_nouns import Placement, Sign, SignKind, Slur

if TYPE_CHECKING:
    from sitegen.score.reading import read_score
    from sitegen.score.sources import Source, open_source
    from sitegen.score.tempo import starting_tempo
else:
    __getattr__ = passing_on(
        __name__,
        {
            "Source": "sources",
            "open_source": "sources",
            "read_score": "reading",
            "starting_tempo": "tempo",
        },
    )

__all__ = [
    "Bar",
    "Clef",
    "Hand",
    "Metre",
    "Note",
    "Notehead",
    "Pitch",
    "Placement",
    "Score",
    "Sign",
    "SignKind",
    "Slur",
    "Source",
    "Staff",
    "Tempo",
    "open_source",
    "read_score",
    "starting_tempo",
]
