"""A site made of what changed and of what did not: the pieces, then the files that belong to none of them."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from sitegen import publishing
from sitegen.building import swapping
from sitegen.building.codec import from_bytes
from sitegen.building.driving import Code, Driver, digests_of
from sitegen.building.engines import Engine
from sitegen.building.explaining import Explainer
from sitegen.building.naming import CARD
from sitegen.building.pieces import Made, make_piece
from sitegen.building.progress import Tell
from sitegen.building.records import Outcome, Record, keep_record, load_record, name_of_build, see
from sitegen.building.remembering import keep_memory, load_memory
from sitegen.building.stamps import stamp_of_files
from sitegen.building.store import Damaged, Store, digest_of
from sitegen.building.studios import studio_of, studio_page
from sitegen.building.telling import theme_of
from sitegen.checking.validations import check_library
from sitegen.engraving import music_font
from sitegen.errors import ContentError
from sitegen.library import Library, load_library

CONTRACT = 1
MUSIC_FONT = "music-font.woff2"


def build_whole(
    content: Path,
    output: Path,
    store: Store,
    engine: Engine,
    tell: Tell,
    reference: Callable[[], str],
    explain: Callable[[str], None] | None,
) -> Outcome:
    """The site, its steps run by ``engine``, with what the record of the last build spares; as ``build_site``."""
    name, code = name_of_build(content, output), Code(store)
    record, memory = load_record(store, name), load_memory(store, name)
    before = record.seen if record else None
    # what is seen before it is read: whatever changes meanwhile is made again by the next build
    now = see(content, before.theme if before else "", before.libraries if before else {})
    library = load_library(content, memory.unchanged_places(before, now))
    output = output.resolve()
    if output.is_relative_to(content.resolve()):
        raise ContentError("lies inside the content folder", "Name a place outside of it with --output.", output)
    look = publishing.find_theme(theme_of(library.studio))
    staging = swapping.begin(output)
    old = record.files if record and record.has_same_files(output) else {}
    made = memory.unchanged_pieces(before, now, library, store) if before and before.theme == str(look.root) else {}
    unchanged = {slug: memory.pieces[slug] for slug in made}
    explainer = Explainer(store, name, code, memory.code, explain)
    driver = Driver(engine, studio_of(library.studio, library.slugs, store), code, explainer.asked, explainer.run)
    try:
        while True:
            try:
                missing = [piece for piece in library.pieces if piece.slug not in made]
                for piece, result in driver.drive(missing, make_piece, tell):
                    made[piece.slug] = result
                    explainer.keep(piece.slug)
                page = studio_page(library.studio, reference() if library.studio.reference else "")
                site = _files_of(library, look, made, output, page, store)
                _write(site, staging, output, old, store)
                keep_memory(store, name, library, made, unchanged, {**memory.code, **code.parts})
                break
            except Damaged:
                made, old, unchanged = {}, {}, {}
        swapping.swap(output)
    except BaseException:
        swapping.abandon(output)
        raise
    outcome = _outcome(library, made, site)
    libraries = {part for parts in {**memory.code, **code.parts}.values() for part in parts}
    after = see(content, str(look.root), {one: "" for one in sorted(libraries) if not one.startswith("sitegen.")})
    if after.places == now.places:
        keep_record(store, name, Record(after, site, stamp_of_files(output, site), outcome))
    return outcome


def _outcome(library: Library, made: Mapping[str, Made], site: Mapping[str, str]) -> Outcome:
    built = tuple(slug for slug, one in sorted(made.items()) if one.is_published)
    listed = {path.split("/")[1] for path in site if path.startswith("pieces/")}
    findings = [*check_library(library), *(finding for slug in sorted(made) for finding in made[slug].findings)]
    return Outcome(built, tuple(sorted(listed - set(built))), tuple(findings))


def _write(site: Mapping[str, str], staging: Path, output: Path, old: Mapping[str, str], store: Store) -> None:
    """Write the staged site. What is the same as in the ``old`` one is the same file."""
    for path, digest in site.items():
        place = staging / path
        if old.get(path) == digest:
            with suppress(OSError):
                _link(output / path, place)
                continue
        _put(staging, path, store.get(digest))


def _link(old: Path, new: Path) -> None:
    try:
        os.link(old, new)
    except FileNotFoundError:
        new.parent.mkdir(parents=True, exist_ok=True)
        os.link(old, new)


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
