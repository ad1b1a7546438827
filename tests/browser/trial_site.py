"""A whole site around the trial piece, written as a build writes it."""

from __future__ import annotations

import hashlib
from pathlib import Path

from sitegen.engraving import music_font
from sitegen.publishing import (
    PublishedPage,
    card_of,
    find_theme,
    render_gallery,
    render_lists,
    render_piece,
    site_assets,
)
from tests.browser.trial_piece import build_piece, library

_TEXT = (
    '<h2 id="a">A</h2><p>Give <code>sitegen check</code>:</p><pre><code>$ sitegen check content-of-a-folder-with-a-name'
    "-that-is-longer-than-a-phone-is-wide\n1 piece checked, 0 faults\n</code></pre>"
    '<h2 id="b">B</h2><table><thead><tr><th>seen</th><th>why</th></tr></thead><tbody><tr><td>accompaniment</td>'
    '<td>a bar</td></tr></tbody></table><h2 id="c">C</h2><p>c</p><h2 id="d">D</h2><p>d</p>'
)
_OWN = (
    PublishedPage(
        "practising", "How we practise", "Little and often.", _TEXT, "", tuple((each, each) for each in "abcd")
    ),
    PublishedPage("hands", "Hände", "", "<p>Ruhig.</p>", "de"),
)


def write_site(root: Path, language: str = "en-GB") -> None:
    """Fills ``root`` with the pages, the piece and the theme's files."""
    studio = library(language)
    folder = root / "pieces" / "eight-bars"
    folder.mkdir(parents=True)
    piece = build_piece(folder)
    files = (
        render_gallery(studio, [card_of(piece)], own_pages=_OWN)
        | render_piece(studio, piece)
        | site_assets(find_theme(studio.theme))
    )
    for path, content in {**files, "music-font.woff2": music_font()}.items():
        place = root / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content)
    write_offline_lists(root)


def write_offline_lists(root: Path) -> None:
    """The lists by which browsers keep the piece, and the rest of the site without its sounds."""
    folder = root / "pieces" / "eight-bars"
    _write_list(folder, [path for path in folder.rglob("*") if path.is_file()])
    _write_list(
        root,
        [
            path
            for path in root.rglob("*")
            if path.is_file() and path.relative_to(root).parts[0] not in {"pieces", "sounds", "worker.js"}
        ],
    )


def _write_list(folder: Path, files: list[Path]) -> None:
    (folder / "offline.json").write_bytes(render_lists(digests_of(folder, files))["offline.json"])


def digests_of(folder: Path, files: list[Path] | None = None) -> dict[str, str]:
    """The digests of these files of a folder, or of all, by their path in it."""
    found = [path for path in folder.rglob("*") if path.is_file()] if files is None else files
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in found
        if path.name != "offline.json"
    }
