"""What is written: the nouns of a score, and reading them from files."""

from sitegen.score.nouns import Bar, Clef, Hand, Metre, Note, Notehead, Pitch, Score, Staff, Tempo
from sitegen.score.reading import read_score
from sitegen.score.sign_nouns import Placement, Sign, SignKind, Slur
from sitegen.score.sources import Source, open_source
from sitegen.score.tempo import starting_tempo

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
