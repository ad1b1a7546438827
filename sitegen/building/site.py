"""Building the whole site: what is out of date is made, then everything is swapped into place."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sitegen import publishing
from sitegen.building import swapping
from sitegen.building.codec import from_bytes
from sitegen.building.driving import Code, Driver, digests_of
from sitegen.building.engines import Engine
from sitegen.building.engines.in_process import InProcess
from sitegen.building.engines.workers import Workers
from sitegen.building.naming import CARD
from sitegen.building.pieces import Made, make_piece
from sitegen.building.progress import Tell
from sitegen.building.store import LARGEST, Damaged, Store, digest_of
from sitegen.building.studios import studio_of, studio_page
from sitegen.building.telling import theme_of
from sitegen.checking import Finding
from sitegen.checking.validations import check_library
from sitegen.engraving import music_font
from sitegen.errors import ContentError
from sitegen.library import Library, load_library

CONTRACT = 1
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
    store: Store,
    workers: int,
    tell: Tell,
    reference: Callable[[], str] = str,
    largest: int = LARGEST,
) -> Outcome:
    """Build the site of ``content`` into ``output``, with so many worker processes, or in this one (0).

    ``reference`` gives the page for teachers, published where the studio asks for it. A piece at fault is named in the
    outcome; the rest is built, and its last good pages stay. The ``store`` keeps ``largest`` bytes. Raises
    ``ContentError`` where nothing can be built at all.
    """
    library = load_library(content)
    output = output.resolve()
    if output.is_relative_to(content.resolve()):
        raise ContentError("lies inside the content folder", "Name a place outside of it with --output.", output)
    look = publishing.find_theme(theme_of(library.studio))
    staging = swapping.begin(output)
    engine: Engine = Workers(store, workers) if workers else InProcess(store)
    try:
        while True:
            try:
                made = _make(library, engine, store, tell)
                page = studio_page(library.studio, reference() if library.studio.reference else "")
                site = _files_of(library, look, made, output, page, store)
                for path, digest in site.items():
                    _put(staging, path, store.get(digest))
                break
            except Damaged:
                continue
        swapping.swap(output)
    except BaseException:
        swapping.abandon(output)
        raise
    finally:
        engine.close()
    store.clean(largest)
    built = tuple(slug for slug, one in sorted(made.items()) if one.is_published)
    listed = {path.split("/")[1] for path in site if path.startswith("pieces/")}
    findings = [*check_library(library), *(finding for slug in sorted(made) for finding in made[slug].findings)]
    return Outcome(built, tuple(sorted(listed - set(built))), tuple(findings))


def _make(library: Library, engine: Engine, store: Store, tell: Tell) -> dict[str, Made]:
    """Every piece, by slug."""
    driver = Driver(engine, studio_of(library.studio, library.slugs, store), Code(store))
    made: dict[str, Made] = {}
    for piece, result in driver.drive(library.pieces, make_piece, tell):
        assert isinstance(result, Made)
        made[piece.slug] = result
    return made


def _files_of(
    library: Library,
    look: publishing.Theme,
    made: dict[str, Made],
    output: Path,
    studio: publishing.Library,
    store: Store,
) -> dict[str, str]:
    """The digest of every file of the site by its path."""
    files: dict[str, str] = {}
    entries: dict[str, dict[str, Any]] = {}
    cards: list[publishing.GalleryCard] = []
    for slug, piece in made.items():
        if piece.is_published:
            files |= {f"pieces/{slug}/{path}": digest for path, digest in piece.files.items()}
            entries[slug] = from_bytes(store.get(piece.entry), dict[str, Any])
            cards.append(from_bytes(store.get(piece.card), publishing.GalleryCard))
    for slug, (entry, card) in _keep_last_good(library, output, entries).items():
        kept = output / "pieces" / slug
        files |= {
            f"pieces/{slug}/{place.relative_to(kept).as_posix()}": store.put(place.read_bytes())
            for place in sorted(kept.rglob("*"))
            if place.is_file()
        }
        entries[slug] = entry
        cards.append(card)
    files |= digests_of(shell_files(look, studio, cards), store)
    ordered = [entries[slug] for slug in sorted(entries)]
    site = {"contract": CONTRACT, "title": library.studio.title, "language": library.studio.language, "pieces": ordered}
    files["site.json"] = store.put(json.dumps(site, ensure_ascii=False, indent=1).encode() + b"\n")
    return files


def shell_files(
    look: publishing.Theme, studio: publishing.Library, cards: list[publishing.GalleryCard]
) -> dict[str, bytes]:
    """The files that belong to no piece: scripts, styles, sounds, the gallery, and the list of what to keep of them."""
    assets = publishing.site_assets(look) | {MUSIC_FONT: music_font()}
    shell = assets | publishing.render_gallery(studio, sorted(cards, key=lambda card: (card.title.lower(), card.slug)))
    return shell | {"offline.json": publishing.offline_list({path: digest_of(data) for path, data in shell.items()})}


def _put(root: Path, path: str, data: bytes) -> None:
    place = root / path
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(data)


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
    library: Library, output: Path, entries: dict[str, dict[str, Any]]
) -> dict[str, tuple[dict[str, Any], publishing.GalleryCard]]:
    """For pieces that could not be built: entry and card, from the site that stands."""
    old = _entries_of(output / "site.json")
    kept = {}
    for slug in sorted((library.slugs & set(old)) - set(entries)):
        source = output / "pieces" / slug
        card = _card_from(source / CARD)
        if card is not None:
            kept[slug] = old[slug], card
    return kept


def _entries_of(listing: Path) -> dict[str, dict[str, Any]]:
    """The entries of a ``site.json`` by slug; none where it is not there or damaged."""
    try:
        site = json.loads(listing.read_text(encoding="utf-8"))
        return {piece["slug"]: piece for piece in site["pieces"]}
    except (OSError, ValueError, TypeError, KeyError):
        return {}
