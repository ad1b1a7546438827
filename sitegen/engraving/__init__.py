"""Drawing and timing: verovio, and nothing but verovio."""

from typing import TYPE_CHECKING

from sitegen.engraving.nouns import Engraving, Notation, Performance, Sheet, System, Timing
from sitegen.layouts import LAYOUTS, Layout
from sitegen.passing_on import passing_on

if TYPE_CHECKING:
    from sitegen.engraving.engraver import draw, engrave, engrave_bars, engrave_incipit, play
    from sitegen.engraving.fonts import music_font
    from sitegen.engraving.tempo import at_tempo
else:
    __getattr__ = passing_on(
        __name__,
        {
            "at_tempo": "tempo",
            "draw": "engraver",
            "engrave": "engraver",
            "engrave_bars": "engraver",
            "engrave_incipit": "engraver",
            "music_font": "fonts",
            "play": "engraver",
        },
    )

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
