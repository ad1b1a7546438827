"""Pages from data: the gallery, a page for each stage of a piece, the printed pages, and the page about the site.

Every function returns files by their path below the root of the site; nothing is written here. Links are relative, so
a site can lie in any folder of any host.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from sitegen.places.addresses import fragment_of
from sitegen.publishing.commentary import publish_commentary
from sitegen.publishing.datafiles import as_json, hands_in_words, piece_data, score_notes, stage_data
from sitegen.publishing.describing import describe_stage
from sitegen.publishing.messages import Catalogue, load_catalogue
from sitegen.publishing.nouns import GalleryCard, LayoutName, Library, PiecePage, StagePage
from sitegen.publishing.qr import qr_svg
from sitegen.publishing.references import publish_references
from sitegen.publishing.spelling import key_in_words
from sitegen.publishing.theme import Theme, find_theme

CONTENT_SECURITY_POLICY = "default-src 'self'; base-uri 'none'; form-action 'none'; object-src 'none'"
_NOT_KEPT = re.compile(r"sounds/|worker\.js$|offline\.json$|analysis\.json$|card\.json$|site\.json$")
_SCREEN_LAYOUTS: tuple[LayoutName, ...] = ("phone", "wide", "small", "large")


@dataclass(frozen=True, slots=True)
class _Press:
    """A theme with its words and templates, ready to print pages of one library."""

    library: Library
    theme: Theme
    words: Catalogue
    templates: Environment

    def page(self, template: str, path: str, **values: Any) -> bytes:
        to_root = "../" * path.count("/")
        text = self.templates.get_template(template).render(
            library=self.library,
            t=self.words,
            to_root=to_root,
            asset=lambda name: to_root + self.theme.assets[name],
            script_words=self.script_words(to_root),
            policy=CONTENT_SECURITY_POLICY,
            **values,
        )
        return (text.rstrip() + "\n").encode()

    def script_words(self, to_root: str) -> Markup:
        """Words and addresses for the scripts, as JSON that is safe inside a ``script`` element."""
        data = {
            "words": self.words.of_scripts(),
            "root": to_root,
            "engine": to_root + self.theme.assets["engine.js"],
            "language": self.library.language,
        }
        return Markup(json.dumps(data, ensure_ascii=False, sort_keys=True).replace("<", "\\u003c"))


def _press(library: Library) -> _Press:
    theme = find_theme(library.theme)
    words = load_catalogue(theme, library.language)
    templates = Environment(
        loader=FileSystemLoader(theme.root / "templates"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
    templates.filters["fragment"] = lambda bars: fragment_of(bars[0], bars[-1])
    templates.filters["key_words"] = lambda key: key_in_words(key, words)
    return _Press(library, theme, words, templates)


def render_gallery(library: Library, pieces: Sequence[GalleryCard]) -> dict[str, bytes]:
    """The pages of the whole site: gallery, credits, and the manifest for the home screen."""
    press = _press(library)
    reference = {}
    if library.reference:
        text = Markup(library.reference)
        reference["teachers/index.html"] = press.page("teachers.html.j2", "teachers/index.html", reference=text)
    return reference | {
        "index.html": press.page(
            "gallery.html.j2", "index.html", pieces=pieces, introduction=Markup(library.introduction)
        ),
        "about/index.html": press.page("about.html.j2", "about/index.html"),
        "site.webmanifest": as_json(
            {
                "name": library.title,
                "short_name": library.title[:20],
                "lang": library.language,
                "dir": press.words.direction,
                "start_url": "./index.html",
                "scope": "./",
                "display": "standalone",
                "background_color": "#f6f1e7",
                "theme_color": "#f6f1e7",
                "icons": [
                    {"src": "icons/icon.svg", "sizes": "any", "type": "image/svg+xml"},
                    {"src": "icons/icon-192.png", "sizes": "192x192", "type": "image/png"},
                    {"src": "icons/icon-512.png", "sizes": "512x512", "type": "image/png", "purpose": "any maskable"},
                ],
            }
        ),
    }


def render_piece(library: Library, piece: PiecePage) -> dict[str, bytes]:
    """All pages and page data of a piece: it opens at the first stage of the ladder, and each stage has a page of its
    own that opens there. Raises ``ContentError`` for commentary that names bars or stages that are not there.
    """
    press = _press(library)
    folder = f"pieces/{piece.slug}/"
    data = piece_data(piece, press.words)
    files = {
        f"{folder}piece.json": as_json(data),
        f"{folder}notes.json": as_json(score_notes(piece, press.words)),
        f"{folder}index.html": _stage_page(press, piece, piece.stages[0], f"{folder}index.html", ""),
        f"{folder}print.html": _print_page(press, piece, f"{folder}print.html"),
    }
    for stage in piece.stages:
        place = f"{folder}stages/{stage.slug}/"
        files[f"{place}index.html"] = _stage_page(press, piece, stage, f"{place}index.html", "../../")
        files[f"{folder}{stage.timing}"] = as_json(stage_data(piece, stage, press.words))
    return files


def offline_list(files: Mapping[str, str]) -> bytes:
    """The list by which the worker keeps a piece (or the site's own files) for use without a connection.

    ``files`` maps paths, relative to the list's own folder, to the SHA-256 of their bytes in hexadecimal. A browser
    takes the new files only when it has them all and each has its digest, so that it never shows half a new page.
    Sounds are left out, which a page asks for by itself, as many as its piece needs; so is what no page opens.
    """
    kept = {path: digest for path, digest in sorted(files.items()) if not _NOT_KEPT.match(path)}
    return as_json({"files": kept})


def _stage_page(press: _Press, piece: PiecePage, stage: StagePage, path: str, to_piece: str) -> bytes:
    return press.page(
        "piece.html.j2",
        path,
        piece=piece,
        stage=stage,
        to_piece=to_piece,
        commentary=Markup(publish_references(publish_commentary(piece, to_piece), piece, to_piece)),
        described=describe_stage(piece, stage, press.words),
        hands=hands_in_words(stage, press.words),
        layouts=[name for name in _SCREEN_LAYOUTS if stage.sheets.get(name)],
        steps=_steps(piece),
    )


def _print_page(press: _Press, piece: PiecePage, path: str) -> bytes:
    """All stages to be printed; with ``#<slug>`` in its address it shows that one alone."""
    address = press.library.address.rstrip("/")
    codes = {
        stage.slug: Markup(qr_svg(f"{address}/pieces/{piece.slug}/stages/{stage.slug}/")) if address else ""
        for stage in piece.stages
    }
    return press.page("print.html.j2", path, piece=piece, codes=codes)


@dataclass(frozen=True, slots=True)
class _Step:
    """A stage as the ladder shows it: its number (side studies have letters), and how full it is, 1 to 8."""

    stage: StagePage
    label: str
    fullness: int


def _steps(piece: PiecePage) -> list[_Step]:
    most = max(stage.note_count for stage in piece.stages) or 1
    steps = []
    rung = side = 0
    for stage in piece.stages:
        if stage.side_study:
            label = chr(ord("a") + side)
            side += 1
        else:
            rung += 1
            label = str(rung)
        steps.append(_Step(stage, label, max(1, round(8 * stage.note_count / most))))
    return steps
