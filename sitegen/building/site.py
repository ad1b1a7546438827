"""Building the whole site: what is out of date is made in worker processes, then everything is swapped into place."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from sitegen import publishing
from sitegen.building import swapping
from sitegen.building.cache import Cache
from sitegen.building.making import Made, make_all, studio_page
from sitegen.building.paging import as_json
from sitegen.building.telling import theme_of
from sitegen.checking import Finding, check_library
from sitegen.engraving import music_font
from sitegen.errors import ContentError
from sitegen.library import Library, load_library

CONTRACT = 1
MUSIC_FONT = "music-font.woff2"
CARD = "card.json"


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
) -> Outcome:
    """Build the site of ``content`` into ``output``.

    ``reference`` is the page for teachers, published where the studio asks for it. ``progress`` is called with a
    piece's slug, how many pieces are done, and how many there are. A piece at fault is named in the outcome; the rest
    is built, and its last good pages stay. Raises ``ContentError`` where nothing can
    be built at all.
    """
    library = load_library(content)
    output = output.resolve()
    if output.is_relative_to(content.resolve()):
        raise ContentError("lies inside the content folder", "Name a place outside of it with --output.", output)
    look = publishing.find_theme(theme_of(library.studio))
    staging = swapping.begin(output)
    try:
        found: dict[str, tuple[Finding, ...]] = {}
        made: dict[str, Made] = {}
        for done, (piece, result) in enumerate(make_all(library, cache, workers), 1):
            progress(piece.slug, done, len(library.pieces))
            found[piece.slug] = result.findings
            if result.page is not None:
                made[piece.slug] = result
        site = _write(library, look, made, staging, output, reference)
        swapping.swap(output)
    except BaseException:
        swapping.abandon(output)
        raise
    kept = tuple(slug for slug in site if slug not in made)
    findings = [*check_library(library), *(finding for slug in sorted(found) for finding in found[slug])]
    return Outcome(tuple(sorted(made)), kept, tuple(findings))


def _write(
    library: Library,
    look: publishing.Theme,
    made: dict[str, Made],
    staging: Path,
    output: Path,
    reference: str,
) -> dict[str, dict[str, Any]]:
    """Write the staged site; the entries of ``site.json`` by slug."""
    entries: dict[str, dict[str, Any]] = {}
    cards: list[publishing.GalleryCard] = []
    for slug, piece in made.items():
        assert piece.page is not None
        for path, data in piece.files.items():
            _put(staging / "pieces" / slug, path, data)
        _put(staging / "pieces" / slug, "offline.json", publishing.offline_list(_digests(piece.files)))
        card = publishing.card_of(piece.page)
        _put(staging / "pieces" / slug, CARD, as_json(asdict(card)))
        entries[slug] = _entry(piece.page)
        cards.append(card)
    for slug, (entry, card) in _keep_last_good(library, output, staging, entries).items():
        entries[slug] = entry
        cards.append(card)
    for path, data in shell_files(look, studio_page(library.studio, reference), cards).items():
        _put(staging, path, data)
    ordered = [entries[slug] for slug in sorted(entries)]
    site = {"contract": CONTRACT, "title": library.studio.title, "language": library.studio.language, "pieces": ordered}
    _put(staging, "site.json", json.dumps(site, ensure_ascii=False, indent=1).encode() + b"\n")
    return entries


def shell_files(
    look: publishing.Theme, studio: publishing.Library, cards: list[publishing.GalleryCard]
) -> dict[str, bytes]:
    """The files that belong to no piece: scripts, styles, sounds, the gallery, and the list of what to keep of them."""
    assets = publishing.site_assets(look) | {MUSIC_FONT: music_font()}
    shell = assets | publishing.render_gallery(studio, sorted(cards, key=lambda card: (card.title.lower(), card.slug)))
    return shell | {"offline.json": publishing.offline_list(_digests(shell))}


def _digests(files: dict[str, bytes]) -> dict[str, str]:
    return {path: hashlib.sha256(data).hexdigest() for path, data in files.items()}


def _put(root: Path, path: str, data: bytes) -> None:
    place = root / path
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(data)


def _entry(page: publishing.PiecePage) -> dict[str, Any]:
    """A piece as ``site.json`` names it; addresses are relative to that file."""
    base = f"pieces/{page.slug}/"
    return {
        "slug": page.slug,
        "title": page.title,
        "composer": page.composer,
        "licence": page.licence,
        "url": base + "index.html",
        "analysis": base + "analysis.json",
        "stages": [
            {
                "slug": stage.slug,
                "title": stage.title,
                "note_count": stage.note_count,
                "side_study": stage.side_study,
                "url": f"{base}stages/{stage.slug}/index.html",
                "svg": [
                    {
                        "layout": layout,
                        "files": [base + sheet.file for sheet in sheets],
                        "systems": [
                            [{"first": row.first_bar, "last": row.last_bar} for row in sheet.systems]
                            for sheet in sheets
                        ],
                    }
                    for layout, sheets in stage.sheets.items()
                ],
                "midi": base + stage.midi,
                "musicxml": base + stage.musicxml,
                "timing": base + stage.timing,
            }
            for stage in page.stages
        ],
    }


def _card_from(file: Path) -> publishing.GalleryCard | None:
    """The card that an earlier build left beside the pages of a piece; None where another version wrote it."""
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
        drawing = data.pop("incipit")
        tags = tuple(data.pop("tags"))
        return publishing.GalleryCard(**data, tags=tags, incipit=publishing.Drawing(**drawing) if drawing else None)
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return None


def _keep_last_good(
    library: Library, output: Path, staging: Path, entries: dict[str, dict[str, Any]]
) -> dict[str, tuple[dict[str, Any], publishing.GalleryCard]]:
    """For pieces that could not be built: their pages from the site that stands, copied, with entry and card."""
    old = _entries_of(output / "site.json")
    kept = {}
    for slug in sorted((library.slugs & set(old)) - set(entries)):
        source = output / "pieces" / slug
        card = _card_from(source / CARD)
        if card is not None:
            shutil.copytree(source, staging / "pieces" / slug)
            kept[slug] = old[slug], card
    return kept


def _entries_of(listing: Path) -> dict[str, dict[str, Any]]:
    """The entries of a ``site.json`` by slug; none where it is not there or damaged."""
    try:
        site = json.loads(listing.read_text(encoding="utf-8"))
        return {piece["slug"]: piece for piece in site["pieces"]}
    except (OSError, ValueError, TypeError, KeyError):
        return {}
