"""Drawing and timing: verovio, and nothing but verovio."""

from sitegen.engraving.engraver import engrave, engrave_bars, engrave_incipit, keeps_time, music_font
from sitegen.engraving.layouts import LAYOUTS, Layout
from sitegen.engraving.nouns import Engraving, Notation, Sheet, System, Timing

__all__ = [
    "LAYOUTS",
    "Engraving",
    "Layout",
    "Notation",
    "Sheet",
    "System",
    "Timing",
    "engrave",
    "engrave_bars",
    "engrave_incipit",
    "keeps_time",
    "music_font",
]
