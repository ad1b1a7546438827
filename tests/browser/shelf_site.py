"""A site of hundreds of pieces as the gallery shows them: cards made by rule, the gallery and its index by the
functions that a build calls, and no piece behind them."""

from __future__ import annotations

from pathlib import Path

from sitegen.engraving import engrave_incipit, music_font
from sitegen.publishing import PublishedLibrary, find_theme, render_gallery, render_lists, render_search, site_assets
from sitegen.publishing.datafiles import as_json
from tests import many_pieces
from tests.browser.trial_site import digests_of
from tests.building.studio import musicxml

STUDIO = PublishedLibrary("The large studio", introduction="<p>Three hundred small pieces.</p>")
INCIPITS = 12


def write_shelf(root: Path, count: int, studio: PublishedLibrary = STUDIO) -> None:
    """Fills ``root`` with the gallery, the index pages, the collections and the index of ``count`` pieces."""
    cards = [many_pieces.card(number, INCIPITS) for number in range(count)]
    words = {f"piece-{number:04}": as_json(many_pieces.words(number)) for number in range(count)}
    files = render_gallery(studio, cards, list(many_pieces.collections(count))) | render_search(words)
    files |= site_assets(find_theme(studio.theme)) | {"music-font.woff2": music_font()}
    for number in range(min(INCIPITS, count)):
        one = many_pieces.piece(number)
        drawn = engrave_incipit(musicxml(one.right, one.left, one.metre), "musicxml")
        files[f"incipits/{number}.svg"] = drawn.svg.encode()
    for path, content in files.items():
        place = root / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content)
    kept = {path: digest for path, digest in digests_of(root).items() if not path.startswith("sounds/")}
    (root / "offline.json").write_bytes(render_lists(kept)["offline.json"])
