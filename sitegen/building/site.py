"""Building the whole site: what is out of date is made in worker processes, then everything is swapped into place."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import asdict, dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from sitegen import publishing
from sitegen.building import swapping
from sitegen.building.cache import Cache
from sitegen.building.faults import fault_of, warnings_of
from sitegen.building.paging import as_json, lay_out
from sitegen.building.preparing import prepare
from sitegen.building.telling import teller_of
from sitegen.engraving import music_font
from sitegen.errors import ContentError, SitegenError, each_fault
from sitegen.library import Library, Piece, StudioMatter, load_library, slug_of, to_html

CONTRACT = 1
MUSIC_FONT = "music-font.woff2"
CARD = "card.json"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a build: the slugs built, those whose last good pages were kept, every fault, and what was odd in
    scores that were read all the same, a line each."""

    built: tuple[str, ...]
    kept: tuple[str, ...]
    faults: tuple[SitegenError, ...]
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Job:
    """A piece to be made by a worker."""

    piece: Piece
    studio: StudioMatter
    cache: Cache


@dataclass(frozen=True, slots=True)
class _Made:
    """What a worker hands back: the page data, the files below ``pieces/<slug>/``, what was odd in the score."""

    page: publishing.PiecePage
    files: dict[str, bytes]
    warnings: tuple[str, ...]


def build_site(
    content: Path, output: Path, cache: Cache, workers: int, progress: Callable[[str, int, int], None]
) -> Outcome:
    """Build the site of ``content`` into ``output``.

    ``progress`` is called with a piece's slug, how many pieces are done, and how many there are. A piece at fault is
    named in the outcome; the rest is built, and its last good pages stay. Raises ``ContentError`` where nothing can
    be built at all.
    """
    library = load_library(content)
    output = output.resolve()
    if output.is_relative_to(content.resolve()):
        raise ContentError("lies inside the content folder", "Name a place outside of it with --output.", output)
    look = publishing.find_theme(library.studio.theme)
    staging = swapping.begin(output)
    try:
        faults: list[SitegenError] = list(library.faults)
        made: dict[str, _Made] = {}
        for done, (piece, result) in enumerate(_make_all(library, cache, workers), 1):
            progress(piece.slug, done, len(library.pieces))
            if isinstance(result, SitegenError):
                faults += each_fault(result)
            else:
                made[piece.slug] = result
        site = _write(library, look, made, staging, output, faults)
        swapping.swap(output)
    except BaseException:
        swapping.abandon(output)
        raise
    kept = tuple(slug for slug in site if slug not in made)
    warnings = tuple(line for slug in sorted(made) for line in made[slug].warnings)
    return Outcome(tuple(sorted(made)), kept, tuple(faults), warnings)


def _make_all(library: Library, cache: Cache, workers: int) -> Iterator[tuple[Piece, _Made | SitegenError]]:
    """Every piece with its pages or its fault, as they are finished."""
    jobs = [_Job(piece, library.studio, cache) for piece in library.pieces]
    if workers <= 1 or len(jobs) <= 1:
        for job in jobs:
            yield job.piece, _make(job)
        return
    suspects: list[_Job] = []
    waiting = list(reversed(jobs))
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        running: dict[Future[_Made | SitegenError], _Job] = {}
        try:
            while waiting or running:
                while waiting and len(running) < workers:
                    job = waiting.pop()
                    running[pool.submit(_make, job)] = job
                for future in wait(running, return_when=FIRST_COMPLETED).done:
                    job = running.pop(future)
                    yield job.piece, future.result()
        except BrokenProcessPool:
            suspects = [*running.values(), job, *waiting]
    for job in suspects:
        yield job.piece, _make_alone(job)


def _make_alone(job: _Job) -> _Made | SitegenError:
    """Make a piece in a process of its own, which may die without taking others with it."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        try:
            return pool.submit(_make, job).result()
        except BrokenProcessPool:
            return ContentError(
                "the program that reads and engraves it broke down", "Export the score again.", job.piece.score
            )


def _make(job: _Job) -> _Made | SitegenError:
    piece = job.piece
    try:
        html = to_html(piece.commentary)
        span, teller = piece.matter.hand or job.studio.hand, teller_of(job.studio)
        prepared = prepare(piece, span, publishing.excerpt_links(html), job.cache, teller)
        page, files = lay_out(piece, prepared, html, teller)
        # the pages are rendered once here, so that a fault in the commentary is this piece's fault
        files |= _below(publishing.render_piece(_studio(job.studio), page), piece.slug)
        return _Made(page, files, warnings_of(prepared.understood.score, piece))
    except Exception as error:
        return fault_of(error, piece)


def _below(files: dict[str, bytes], slug: str) -> dict[str, bytes]:
    prefix = f"pieces/{slug}/"
    return {path.removeprefix(prefix): data for path, data in files.items()}


def _studio(matter: StudioMatter) -> publishing.Library:
    return publishing.Library(
        matter.title, matter.language, matter.teacher, to_html(matter.about), matter.theme, matter.address
    )


def _write(
    library: Library,
    look: publishing.Theme,
    made: dict[str, _Made],
    staging: Path,
    output: Path,
    faults: list[SitegenError],
) -> dict[str, dict[str, Any]]:
    """Write the staged site; the entries of ``site.json`` by slug."""
    assets = publishing.site_assets(look) | {MUSIC_FONT: music_font()}
    for path, data in assets.items():
        _put(staging, path, data)
    entries: dict[str, dict[str, Any]] = {}
    cards: list[publishing.GalleryCard] = []
    for slug, piece in made.items():
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
    shell = publishing.render_gallery(_studio(library.studio), sorted(cards, key=lambda p: (p.title.lower(), p.slug)))
    for path, data in shell.items():
        _put(staging, path, data)
    _put(staging, "offline.json", publishing.offline_list(_digests(assets | shell)))
    ordered = [entries[slug] for slug in sorted(entries)]
    site = {"contract": CONTRACT, "title": library.studio.title, "language": library.studio.language, "pieces": ordered}
    _put(staging, "site.json", json.dumps(site, ensure_ascii=False, indent=1).encode() + b"\n")
    return entries


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
                    {"layout": layout, "files": [base + system.file for system in systems]}
                    for layout, systems in stage.systems.items()
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
    wanted = {piece.slug for piece in library.pieces} | set(_folders(library))
    kept = {}
    for slug in sorted((wanted & set(old)) - set(entries)):
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


def _folders(library: Library) -> Sequence[str]:
    """The slugs of folders whose front matter could not be read: they have no piece, and their pages stay too."""
    return [slug_of(place.name) for place in library.root.iterdir() if (place / "piece.md").is_file()]
