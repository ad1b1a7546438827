"""A site made of what changed and of what did not: the pieces, then the files that belong to none of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from sitegen import publishing
from sitegen.apart import Limits
from sitegen.building.codec import from_bytes
from sitegen.building.digests import digest_of
from sitegen.building.driving import Code, Driver
from sitegen.building.engines import Engine
from sitegen.building.explaining import Explainer
from sitegen.building.last_good import LastGood, last_good, pieces_of, reason_of, refuse_loss
from sitegen.building.naming import OFFLINE
from sitegen.building.pieces import Made, make_piece
from sitegen.building.progress import Tell
from sitegen.building.publication import Contents, Output, hold_output
from sitegen.building.records import Outcome, Record, keep_record, load_record, name_of_build, see
from sitegen.building.remembering import keep_memory, load_memory
from sitegen.building.store import Damaged, Store
from sitegen.building.studios import studio_of, studio_page
from sitegen.building.telling import theme_of
from sitegen.checking.validations import check_library
from sitegen.engraving import music_font
from sitegen.library import load_library

MUSIC_FONT = "music-font.woff2"


def build_whole(
    content: Path,
    output: Path,
    store: Store,
    engine: Engine,
    tell: Tell,
    reference: Callable[[], str],
    explain: Callable[[str], None] | None,
    allow_removal: bool,
    say: Callable[[str], None],
    limits: Limits,
) -> Outcome:
    """The site, its steps run by ``engine``, with what the record of the last build spares; as ``build_site``."""
    name, code = name_of_build(content, output), Code(store)
    waiting = f"{output}: another build is at work there; waiting for it to end"
    with hold_output(output, content, lambda: say(waiting)) as held:
        record, memory = load_record(store, name), load_memory(store, name)
        before = record.seen if record else None
        # what is seen before it is read: whatever changes meanwhile is made again by the next build
        now = see(content, before.theme if before else "", before.libraries if before else {})
        library = load_library(content, memory.unchanged_places(before, now))
        look = publishing.find_theme(theme_of(library.studio))
        words = publishing.load_catalogue(look, library.studio.language)
        standing = _as_left(held, record)
        stood = pieces_of(standing)
        of_library = check_library(library)
        refuse_loss(library, of_library, stood, allow_removal)
        made = memory.unchanged_pieces(before, now, library, store) if before and before.theme == str(look.root) else {}
        unchanged = {slug: memory.pieces[slug] for slug in made}
        explainer = Explainer(store, name, code, memory.code, explain)
        studio = studio_of(library.studio, library.slugs, store, limits)
        driver = Driver(engine, studio, code, explainer.asked, explainer.run)
        while True:
            try:
                missing = [piece for piece in library.pieces if piece.slug not in made]
                for piece, result in driver.drive(missing, make_piece, tell):
                    made[piece.slug] = result
                    explainer.keep(piece.slug)
                findings = (*of_library, *(finding for slug in sorted(made) for finding in made[slug].findings))
                built = tuple(slug for slug, one in sorted(made.items()) if one.is_published)
                kept: dict[str, LastGood] = {}
                for slug in sorted((library.slugs & stood.keys()) - set(built)):
                    why = reason_of(slug, library, findings)
                    if (last := last_good(slug, stood[slug], standing, why, words)) is not None:
                        kept[slug] = last
                page = studio_page(library.studio, reference() if library.studio.reference else "")
                published = standing.publish(_files_of(look, made, kept, page, store), store.get)
                keep_memory(store, name, library, made, unchanged, {**memory.code, **code.parts})
                break
            except Damaged:
                made, unchanged = {}, {}
    outcome = Outcome(built, tuple(kept), findings)
    libraries = {part for parts in {**memory.code, **code.parts}.values() for part in parts}
    after = see(content, str(look.root), {one: "" for one in sorted(libraries) if not one.startswith("sitegen.")})
    if after.places == now.places:
        files = {path: listed.sha256 for path, listed in published.manifest.files.items()}
        keep_record(store, name, Record(after, files, published.stamps, outcome))
    return outcome


def _as_left(standing: Output, record: Record | None) -> Output:
    """The site that stands; where it is the one that was recorded, what is known of its files need not be read."""
    listed = {path: listed.sha256 for path, listed in standing.manifest.files.items()}
    return replace(standing, known=record.stamps) if record is not None and record.files == listed else standing


def _files_of(
    look: publishing.Theme,
    made: Mapping[str, Made],
    kept: Mapping[str, LastGood],
    studio: publishing.Library,
    store: Store,
) -> dict[str, Contents]:
    """Every file of the site by its path: its digest in the store or where it stands, or its bytes."""
    files: dict[str, Contents] = {}
    entries: dict[str, Mapping[str, Any]] = {slug: last.entry for slug, last in kept.items()}
    cards = [last.card for last in kept.values()]
    for last in kept.values():
        files |= last.files
    for slug, piece in made.items():
        if piece.is_published:
            files |= {f"pieces/{slug}/{path}": digest for path, digest in piece.files.items()}
            entries[slug] = from_bytes(store.get(piece.entry), dict[str, Any])
            cards.append(from_bytes(store.get(piece.card), publishing.GalleryCard))
    return files | shell_files(look, studio, cards) | publishing.render_listing(studio, entries)


def shell_files(
    look: publishing.Theme, studio: publishing.Library, cards: list[publishing.GalleryCard]
) -> dict[str, bytes]:
    """The files that belong to no piece: scripts, styles, sounds, the gallery, and the list of what to keep of them."""
    assets = publishing.site_assets(look) | {MUSIC_FONT: music_font()}
    shell = assets | publishing.render_gallery(studio, sorted(cards, key=lambda card: (card.title.lower(), card.slug)))
    return shell | {OFFLINE: publishing.offline_list({path: digest_of(data) for path, data in shell.items()})}
