"""Building the whole site: what is out of date is made in worker processes, then everything is published at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sitegen import publishing
from sitegen.building.cache import Cache
from sitegen.building.last_good import OFFLINE, LastGood, last_good, pieces_of, reason_of, refuse_loss
from sitegen.building.making import Made, make_all, studio_page
from sitegen.building.publication import Contents, digest_of, hold_output
from sitegen.building.telling import theme_of
from sitegen.checking import Finding, check_library
from sitegen.engraving import music_font
from sitegen.library import Library, load_library

MUSIC_FONT = "music-font.woff2"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a build: the slugs built, those whose last good pages were kept, and everything that was found."""

    built: tuple[str, ...]
    kept: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> tuple[Finding, ...]:
        """What keeps a piece from being published."""
        return tuple(finding for finding in self.findings if finding.severity == "error")


def build_site(
    content: Path,
    output: Path,
    cache: Cache,
    workers: int,
    progress: Callable[[str, int, int], None],
    reference: str = "",
    allow_removal: bool = False,
    say: Callable[[str], None] = lambda line: None,
) -> Outcome:
    """Build the site of ``content`` into ``output``.

    ``reference`` is the page for teachers, published where the studio asks for it. ``progress`` is called with a
    piece's slug, how many pieces are done, and how many there are; ``say`` with a line where another build must be
    waited for. A piece at fault is named in the outcome; the rest is built, and its last good pages stay, marked.
    Raises ``ContentError`` where nothing can be built at all, or where the site that stands would lose more than half
    of its pieces and ``allow_removal`` is not given; that site then stays as it is.
    """
    waiting = f"{output}: another build is at work there; waiting for it to end"
    with hold_output(output, content, lambda: say(waiting)) as standing:
        library = load_library(content)
        look = publishing.find_theme(theme_of(library.studio))
        stood = pieces_of(standing)
        of_library = check_library(library)
        refuse_loss(library, of_library, stood, allow_removal)
        found: dict[str, tuple[Finding, ...]] = {}
        made: dict[str, Made] = {}
        for done, (piece, result) in enumerate(make_all(library, cache, workers), 1):
            progress(piece.slug, done, len(library.pieces))
            found[piece.slug] = result.findings
            if result.page is not None:
                made[piece.slug] = result
        findings = (*of_library, *(finding for slug in sorted(found) for finding in found[slug]))
        words = publishing.load_catalogue(look, library.studio.language)
        kept = {}
        for slug in sorted((library.slugs & stood.keys()) - made.keys()):
            why = reason_of(slug, library, findings)
            if (last := last_good(slug, stood[slug], standing, why, words)) is not None:
                kept[slug] = last
        standing.publish(_files_of(library, look, made, kept, reference))
    return Outcome(tuple(sorted(made)), tuple(kept), findings)


def _files_of(
    library: Library,
    look: publishing.Theme,
    made: Mapping[str, Made],
    kept: Mapping[str, LastGood],
    reference: str,
) -> dict[str, Contents]:
    """Every file of the site by its path."""
    files: dict[str, Contents] = {}
    entries: dict[str, Mapping[str, Any]] = {slug: last.entry for slug, last in kept.items()}
    cards = [last.card for last in kept.values()]
    for last in kept.values():
        files |= last.files
    for slug, piece in made.items():
        assert piece.page is not None
        own = {**piece.files, OFFLINE: publishing.offline_list(_digests(piece.files))}
        files |= {f"pieces/{slug}/{path}": data for path, data in own.items()}
        entries[slug] = publishing.entry_of(piece.page)
        cards.append(publishing.card_of(piece.page))
    studio = studio_page(library.studio, reference)
    return files | shell_files(look, studio, cards) | publishing.render_listing(studio, entries)


def shell_files(
    look: publishing.Theme, studio: publishing.Library, cards: list[publishing.GalleryCard]
) -> dict[str, bytes]:
    """The files that belong to no piece: scripts, styles, sounds, the gallery, and the list of what to keep of them."""
    assets = publishing.site_assets(look) | {MUSIC_FONT: music_font()}
    shell = assets | publishing.render_gallery(studio, sorted(cards, key=lambda card: (card.title.lower(), card.slug)))
    return shell | {OFFLINE: publishing.offline_list(_digests(shell))}


def _digests(files: Mapping[str, bytes]) -> dict[str, str]:
    return {path: digest_of(data) for path, data in files.items()}
