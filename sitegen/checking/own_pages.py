"""Whether the studio's own pages can be read, and whether what they lead to is there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from difflib import get_close_matches
from typing import NamedTuple
from urllib.parse import unquote

from sitegen.checking.nouns import Finding, found_in_reading
from sitegen.library import Library, OwnPage, to_html, with_headings
from sitegen.library.own_pages import REFERENCE
from sitegen.library.references import Reference, read_references


class _Place(NamedTuple):
    """What can be led to: its path below the site's root, and how it is written in a page."""

    path: str
    written: str


def folder(library: Library) -> Iterator[Finding]:
    """Everything that was found in reading the pages."""
    yield from found_in_reading(library.own, library.root)


def taken_out(library: Library) -> Iterator[Finding]:
    """HTML and addresses that are not published, since they could do harm on somebody else's device."""
    for page in library.own.pages:
        for part in read_references(page.text, page.text_line)[1]:
            remedy = "Write it in Markdown, or leave it out; HTML that could run or track is never published."
            yield Finding("warning", f"{part.what} is left out of the page", remedy, str(page.file), part.line)


def links(library: Library) -> Iterator[Finding]:
    """Links to pages, headings, pieces and collections that are not there, and into the music of no piece."""
    places = {place.path: place.written for place in _places(library)}
    headings = {f"pages/{page.slug}/index.html": _headings(page) for page in library.own.pages}
    for page in library.own.pages:
        for reference in read_references(page.text, page.text_line)[0]:
            found = _wrong(page, reference, places, headings)
            if found is not None:
                yield Finding("warning", *found, str(page.file), reference.line)


def _wrong(
    page: OwnPage, reference: Reference, places: Mapping[str, str], headings: Mapping[str, frozenset[str]]
) -> tuple[str, str] | None:
    """What is wrong with a link of a page and what to do; None where nothing is."""
    target = reference.target
    if reference.scheme in ("bars", "bar"):
        remedy = "A page belongs to no piece: write '../NAME/piece.md#bars-5-8' with the name of the piece's folder."
        return f"the link '{target}' leads to bars of no piece", remedy
    if target.startswith("#"):
        return _no_heading(target, target[1:], headings[f"pages/{page.slug}/index.html"])
    place, _, behind = page.leads.get(target, "").partition("#")
    if place.startswith("pages/files/") or reference.scheme:
        return None
    if not place:
        return f"the {reference.kind} '{target}' leads to nothing that is published", _nearest(target, places.values())
    if place not in places:
        return f"the link '{target}' leads to nothing that is there", _nearest(target, places.values())
    return _no_heading(target, behind, headings[place]) if behind and place in headings else None


def _no_heading(target: str, name: str, known: frozenset[str]) -> tuple[str, str] | None:
    if unquote(name) in known:
        return None
    near = get_close_matches(name, sorted(known), 1, 0.5)
    remedy = f"Perhaps '#{near[0]}'." if near else "A heading goes by its words: '## Your hands' is '#your-hands'."
    return f"the link '{target}' leads to no heading of the page", remedy


def _places(library: Library) -> Iterator[_Place]:
    yield from (_Place(f"pages/{page.slug}/index.html", page.file.name) for page in library.own.pages)
    yield from (_Place(f"pieces/{slug}/index.html", f"../{slug}/piece.md") for slug in sorted(library.slugs))
    for one in library.collected.collections:
        yield _Place(f"collections/{one.slug}/index.html", f"../collections/{one.file.name}")
    if library.studio.reference:
        yield _Place("teachers/index.html", REFERENCE)


def _nearest(target: str, known: Iterable[str]) -> str:
    near = get_close_matches(target.partition("#")[0], sorted(known), 1, 0.4)
    return (
        f"Perhaps '{near[0]}'." if near else "Name a page (NAME.md), a piece (../NAME/piece.md), or a file beside it."
    )


def _headings(page: OwnPage) -> frozenset[str]:
    return frozenset(each.name for each in with_headings(to_html(page.text))[1])
