"""One piece made: examined, engraved and laid out, in this process or apart in others."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from multiprocessing import get_context

from sitegen import publishing
from sitegen.building.cache import Cache
from sitegen.building.examining import Examined, examine
from sitegen.building.faults import fault_of
from sitegen.building.paging import lay_out
from sitegen.building.preparing import prepare
from sitegen.building.telling import teller_of, theme_of
from sitegen.checking import Finding, findings_of
from sitegen.errors import ScoreError
from sitegen.library import Library, Piece, StudioMatter, to_html


@dataclass(frozen=True, slots=True)
class Job:
    """A piece to be made by a worker."""

    piece: Piece
    studio: StudioMatter
    neighbours: frozenset[str]
    cache: Cache


@dataclass(frozen=True, slots=True)
class Made:
    """What a worker hands back: what it found, and the page data and the files below ``pieces/<slug>/`` of a piece
    that can be published."""

    findings: tuple[Finding, ...]
    page: publishing.PiecePage | None = None
    files: dict[str, bytes] = field(default_factory=dict)


def make_all(library: Library, cache: Cache, workers: int) -> Iterator[tuple[Piece, Made]]:
    """Every piece with its pages or its fault, as they are finished."""
    jobs = [Job(piece, library.studio, library.slugs, cache) for piece in library.pieces]
    if workers <= 1 or len(jobs) <= 1:
        for job in jobs:
            yield job.piece, make(job)
        return
    suspects: list[Job] = []
    waiting = list(reversed(jobs))
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        running: dict[Future[Made], Job] = {}
        try:
            while waiting or running:
                while waiting and len(running) < workers:
                    job = waiting.pop()
                    running[pool.submit(make, job)] = job
                for future in wait(running, return_when=FIRST_COMPLETED).done:
                    job = running.pop(future)
                    yield job.piece, future.result()
        except BrokenProcessPool:
            suspects = [*running.values(), job, *waiting]
    for job in suspects:
        yield job.piece, _make_alone(job)


def _make_alone(job: Job) -> Made:
    """Make a piece in a process of its own, which may die without taking others with it."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        try:
            return pool.submit(make, job).result()
        except BrokenProcessPool:
            error = ScoreError(
                "the program that reads and engraves it broke down", "Export the score again.", job.piece.score
            )
            return Made(findings_of(error, "error", job.piece.slug))


def make(job: Job) -> Made:
    """One piece examined and, where nothing keeps it from being published, made."""
    return make_pages(job, examine(job.piece, job.studio, job.neighbours, job.cache, teller_of(job.studio)))


def make_pages(job: Job, examined: Examined) -> Made:
    """The pages of a piece that has been looked at, where nothing keeps it from being published."""
    piece, teller = job.piece, teller_of(job.studio)
    if examined.understood is None or not examined.is_publishable:
        return Made(examined.findings)
    try:
        html = to_html(piece.commentary)
        prepared = prepare(examined.understood, publishing.excerpt_links(html), job.cache, teller)
        page, files = lay_out(piece, prepared, html, teller)
        files |= _below(publishing.render_piece(studio_page(job.studio), page), piece.slug)
        return Made(examined.findings, page, files)
    except Exception as error:
        return Made((*examined.findings, *findings_of(fault_of(error, piece), "error", piece.slug)))


def _below(files: dict[str, bytes], slug: str) -> dict[str, bytes]:
    prefix = f"pieces/{slug}/"
    return {path.removeprefix(prefix): data for path, data in files.items()}


def studio_page(matter: StudioMatter, reference: str = "") -> publishing.Library:
    """The studio as pages show it. ``reference`` is the page for teachers as Markdown, published where she asks."""
    return publishing.Library(
        matter.title,
        matter.language,
        matter.teacher,
        to_html(matter.about),
        theme_of(matter),
        matter.address,
        to_html(reference) if matter.reference else "",
    )
