"""What chords are called, and which chord a name means."""

from sitegen.analysis.chords.naming import key_of, name_harmonies, tone_names, tonic_of
from sitegen.analysis.chords.naming_tables import CADENTIAL, NEAREST_FIFTHS, PLACES, Mode, target_fifths
from sitegen.analysis.chords.qualities import BY_TONES, QUALITIES
from sitegen.analysis.chords.spelled import Spelled, is_numeral, spell, today

__all__ = [
    "BY_TONES",
    "CADENTIAL",
    "NEAREST_FIFTHS",
    "PLACES",
    "QUALITIES",
    "Mode",
    "Spelled",
    "is_numeral",
    "key_of",
    "name_harmonies",
    "spell",
    "target_fifths",
    "today",
    "tone_names",
    "tonic_of",
]
