"""Drawing and timing: verovio, and nothing but verovio."""

from sitegen.engraving.engraver import draw, engrave, engrave_bars, engrave_incipit, music_font, play
from sitegen.engraving.layouts import LAYOUTS, Layout
from sitegen.engraving.nouns import Engraving, Notation, Performance, Sheet, System, Timing
from sitegen.engraving.tempo import at_tempo

__all__ = [
    "LAYOUTS",
    "Engraving",
    "Layout",
    "Notation",
    "Performance",
    "Sheet",
    "System",
    "Timing",
    "at_tempo",
    "draw",
    "engrave",
    "engrave_bars",
    "engrave_incipit",
    "music_font",
    "play",
]
