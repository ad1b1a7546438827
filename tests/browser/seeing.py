"""What is to be seen of a page."""

from __future__ import annotations

from playwright.sync_api import Page

_MUSIC_IN_VIEW = """() => {
  const points = [...Array(80).keys()].map((at) => (at + 0.5) / 80);
  const shows = (x, y) => document.elementFromPoint(x * innerWidth, y * innerHeight)?.closest("#music .systems");
  const seen = points.flatMap((x) => points.filter((y) => shows(x, y)));
  return 100 * seen.length / points.length ** 2;
}"""


def music_in_view(page: Page) -> float:
    """The share of the screen, in a hundredth of it, at whose points nothing lies over the rows of music."""
    return float(page.evaluate(_MUSIC_IN_VIEW))
