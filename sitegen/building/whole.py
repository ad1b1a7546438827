"""A site made of what changed and of what did not: the pieces, then the files that belong to none of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from sitegen import publishing
from sitegen.apart import Limits
from sitegen.building.assignments import Desk
from sitegen.building.codec import from_bytes
from sitegen.building.driving import Code, Driver
from sitegen.building.engines import Engine
from sitegen.building.explaining import Explainer
from sitegen.building.joining import keeping_unread, load_with_joined, works_in
from sitegen.building.last_good import (
    LastGood,
    assets_of,
    last_good,
    pieces_of,
    reason_of,
    refuse_loss,
    refuse_lost_pages,
    slugs_of,
)
from sitegen.building.pieces import MadePiece, make_piece
from sitegen.building.progress import Tell
from sitegen.building.publication import Contents, Output, hold_output
from sitegen.building.records import Outcome, Record, keep_record, load_record, name_of_build, see
from sitegen.building.remembering import PieceRecord, keep_memory, load_memory
from sitegen.building.set_work import files_of_set_work, known_before, set_work
from sitegen.building.shell import Shelved, shell_files
from sitegen.building.store import Damaged, Store
from sitegen.building.studios import studio_of, studio_page
from sitegen.checking.validations import check_library
from sitegen.checking.words import own_words, theme_of
from sitegen.library import Library
from sitegen.publishing.outputs import words as words_file
from sitegen.sharing.joining import places_joined


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
) -> tuple[Outcome, int | None]:
    """The site, its steps run by ``engine``, with what the record of the last build spares, as ``build_site``; and how
    many bytes the studio wishes to be kept."""
    name = name_of_build(content, output)
    waiting = f"{output}: another build is at work there; waiting for it to end"
    with hold_output(output, content, lambda: say(waiting)) as held:
        record, memory = load_record(store, name), load_memory(store, name)
        before = record.seen if record else None
        # what is seen before it is read: whatever changes meanwhile is made again by the next build
        others = {name: str(place) for name, place in places_joined(content).items()}
        now = see(content, before.theme if before else (), before.libraries if before else {}, others)
        library = load_with_joined(content, store, memory.unchanged_places(before, now))
        look = publishing.find_theme(theme_of(library.studio))
        own = own_words(library.studio, library.worded)
        words = publishing.load_catalogue(look, library.studio.language, own)
        standing, is_recorded = _as_left(held, record)
        del record  # it holds as many texts as the site has files
        stood = pieces_of(standing)
        library = keeping_unread(library, stood)
        of_library = check_library(library)
        refuse_loss(library, of_library, slugs_of(standing), allow_removal)
        unchanged: Mapping[str, PieceRecord] = {}
        if is_recorded and before is not None and before.theme == tuple(map(str, look.folders)):
            found = memory.unchanged_pieces(before, now, library)
            unchanged = {slug: piece for slug, piece in found.items() if slug in stood or not piece.is_published}
        made: dict[str, MadePiece] = {}
        code = Code(store, dict(memory.code) if before is not None and before.has_same_program(now) else {})
        explainer = Explainer(store, name, code, memory.code, explain)
        studio = studio_of(library.studio, library.slugs, store, limits, works_in(library), own)
        driver = Driver(engine, studio, code, explainer.asked, explainer.run)
        while True:
            try:
                missing = [piece for piece in library.pieces if piece.slug not in {**made, **unchanged}]
                for piece, result in driver.drive(missing, make_piece, tell):
                    made[piece.slug] = result
                    explainer.keep(piece.slug)
                known: dict[str, MadePiece | PieceRecord] = {**unchanged, **made}
                findings = (*of_library, *(finding for slug in sorted(known) for finding in known[slug].findings))
                built = tuple(slug for slug, one in sorted(known.items()) if one.is_published)
                kept: dict[str, LastGood] = {}
                for slug in sorted((library.slugs & stood.keys()) - set(built)):
                    why = reason_of(slug, library, findings)
                    if (last := last_good(slug, stood[slug], standing, store.get, why, words)) is not None:
                        kept[slug] = last
                refuse_lost_pages(findings, slugs_of(standing), {*built, *kept}, allow_removal)
                page = studio_page(library.studio, own, reference() if library.studio.reference else "")
                pieces = {piece.slug: piece for piece in library.pieces if piece.slug in built}
                desk = Desk(studio, library.assigned.secret, pieces)
                known_before(library, desk, memory.at_a_glance, unchanged, standing)
                set_ones = set_work(library, desk, engine, code, of_library)
                unlisted = files_of_set_work(library, desk, set_ones, page, standing)
                findings = (*findings, *(finding for one in set_ones for finding in one.findings))
                as_they_are = {slug: piece for slug, piece in unchanged.items() if piece.is_published}
                worn = assets_of(standing) if kept or unlisted.is_worn else {}
                files = worn | _files_of(library, look, made, kept, as_they_are, standing, page, store, code)
                files |= dict(unlisted.files)
                stay = [*(f"pieces/{slug}" for slug in as_they_are), *unlisted.unchanged]
                published = standing.publish(files, store.get, stay)
                keep_memory(store, name, library, made, unchanged, {**memory.code, **code.parts}, desk.outlines)
                break
            except Damaged:
                made, unchanged = {}, {}
        outcome = Outcome(built, tuple(kept), findings, any(one.passing for one in made.values()), unlisted.week)
        libraries = {part for parts in {**memory.code, **code.parts}.values() for part in parts}
        after = see(
            content,
            tuple(map(str, look.folders)),
            {one: "" for one in sorted(libraries) if not one.startswith("sitegen.")},
            others,
        )
        if after.places == now.places:
            keep_record(store, name, Record(after, standing.digest_of_manifest(), published.stamps, outcome))
    return outcome, library.studio.keep


def _as_left(standing: Output, record: Record | None) -> tuple[Output, bool]:
    """The site that stands, and whether it is the one that was recorded: what is known of its files then need not be
    read."""
    if record is None or not record.manifest or standing.digest_of_manifest() != record.manifest:
        return standing, False
    # under the very texts that the manifest has, so that these are held once
    known = {path: record.stamps[path] for path in standing.manifest.files if path in record.stamps}
    return replace(standing, known=known), True


def _files_of(
    library: Library,
    look: publishing.Theme,
    made: Mapping[str, MadePiece],
    kept: Mapping[str, LastGood],
    unchanged: Mapping[str, PieceRecord],
    standing: Output,
    studio: publishing.PublishedLibrary,
    store: Store,
    code: Code,
) -> dict[str, Contents]:
    """Every file of the site by its path, but for those of pieces that are ``unchanged``: its digest in the store or
    where it stands, or its bytes."""
    files: dict[str, Contents] = {}
    stood = pieces_of(standing)
    known = {path: listed.sha256 for path, listed in standing.manifest.files.items() if path.endswith(words_file.FILE)}
    entries = {slug: publishing.as_listed(last.entry) for slug, last in kept.items()}
    entries |= {slug: stood[slug] for slug in unchanged}
    cards = [last.card for last in kept.values()]
    cards += [from_bytes(piece.card.encode(), publishing.GalleryCard) for piece in unchanged.values()]
    for last in kept.values():
        files |= last.files
    for slug, piece in made.items():
        if piece.is_published:
            files |= {f"pieces/{slug}/{path}": digest for path, digest in piece.files.items()}
            entries[slug] = publishing.as_listed(from_bytes(store.get(piece.entry), dict[str, Any]))
            cards.append(from_bytes(store.get(piece.card), publishing.GalleryCard))
    found: dict[str, str] = {}
    for slug in entries:
        path = f"pieces/{slug}/{words_file.FILE}"
        contents = files.get(path, known.get(path, b"{}"))
        found[slug] = contents if isinstance(contents, str) else store.put(contents)
        # the store may have forgotten what the site still has
        if not store.has(found[slug]) and (data := standing.read(path)) is not None:
            store.put(data)
    shelved = Shelved(cards, found, library.collected.collections)
    return files | shell_files(look, studio, shelved, store, code) | publishing.render_listing(studio, entries)
