"""Systems stacked on sheets: one SVG file holds several, with the glyphs that they share defined once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sitegen.engraving.nouns import Sheet, System
from sitegen.engraving.svg import FINE, Tidied
from sitegen.layouts import LARGEST

_BETWEEN = 400  # tenths of a unit: a slur may reach below the system that it belongs to


def stack(systems: Sequence[Tidied], first: int = LARGEST) -> tuple[Sheet, ...]:
    """``systems`` in order, one under the other, on sheets of about ``LARGEST`` characters at most, the first of
    about ``first``; at least one on each, and on each those of one width."""
    sheets = []
    bar = 0
    for held in _cut(systems, first):
        rows, bodies, y = [], [], 0.0
        for system in held:
            last = max(system.bars, default=bar)
            rows.append(System(min(system.bars, default=bar), last, y / FINE, system.height / FINE))
            bodies.append(f'<g transform="translate({system.left} {y + system.top:g})">{system.body}</g>')
            y += system.height + _BETWEEN
            bar = last + 1
        y -= _BETWEEN
        width = max(system.width for system in held)
        glyphs = {name: glyph for system in held for name, glyph in system.glyphs.items()}
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {y:g}" font-family="Times, serif" '
            f'fill="currentColor" stroke="currentColor" stroke-width="0" stroke-linejoin="round">'
            f"<defs>{''.join(glyphs[name] for name in sorted(glyphs))}</defs>{''.join(bodies)}</svg>"
        )
        sheets.append(Sheet(svg, width / FINE, y / FINE, tuple(rows)))
    return tuple(sheets)


def _cut(systems: Sequence[Tidied], first: int) -> Iterator[list[Tidied]]:
    """The systems of each sheet."""
    held: list[Tidied] = []
    glyphs: set[str] = set()
    size, limit = 0, first
    for system in systems:
        new = sum(len(glyph) for name, glyph in system.glyphs.items() if name not in glyphs)
        if held and (size + len(system.body) + new > limit or system.width != held[0].width):
            yield held
            held, glyphs, size, limit = [], set(), 0, LARGEST
            new = sum(map(len, system.glyphs.values()))
        held.append(system)
        glyphs.update(system.glyphs)
        size += len(system.body) + new
    if held:
        yield held
