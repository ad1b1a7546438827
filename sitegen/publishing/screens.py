"""Which layout of the music a screen shows: by its width, and by how large its reader wishes the notes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.layouts import LAYOUTS

SIZES = ("usual", "larger", "largest")
_CHOSEN = {"usual": ":root:not([data-size])", "larger": '[data-size="larger"]', "largest": '[data-size="largest"]'}
_JUST_BELOW = 0.01  # rem: two screens never show a layout each


@dataclass(frozen=True, slots=True)
class Screen:
    """Screens ``begin`` rem wide and wider, up to where the next begins, and the layout that they show for each of
    ``SIZES``."""

    begin: float
    usual: str
    larger: str
    largest: str

    def layout(self, size: str) -> str:
        """The layout for one of ``SIZES``."""
        return str(getattr(self, size))


def layouts_of(screens: Sequence[Screen]) -> dict[str, bool]:
    """The layouts that a page must have, those of the narrowest screen first; and whether each is shown to who wishes
    nothing, and so must be there without scripts."""
    usual = dict.fromkeys((screen.usual for screen in screens), True)
    return usual | {name: False for screen in screens for name in (screen.larger, screen.largest) if name not in usual}


def layouts_seen(screens: Sequence[Screen]) -> tuple[str, ...]:
    """The layouts that some screen shows or paper has, in the order of ``LAYOUTS``: no others need be drawn."""
    shown = layouts_of(screens)
    return tuple(layout.name for layout in LAYOUTS if layout.printed or layout.name in shown)


def style_of(screens: Sequence[Screen]) -> str:
    """The style that shows each screen its layout."""
    rules = []
    ends = [*(screen.begin for screen in screens[1:]), None]
    for screen, end in zip(screens, ends, strict=True):
        widths = [f"(min-width:{screen.begin:g}rem)"] if screen.begin else []
        widths += [f"(max-width:{end - _JUST_BELOW:g}rem)"] if end is not None else []
        shown = ",".join(f'{_CHOSEN[size]} .systems[data-layout="{screen.layout(size)}"]' for size in SIZES)
        rules.append(f"@media {' and '.join(widths) or 'all'}{{{shown}{{display:block}}}}\n")
    return "".join(rules)
