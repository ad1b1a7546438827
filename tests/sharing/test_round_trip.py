"""Packed here, unpacked elsewhere, built: the same pages, byte for byte but for the studio's own name."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sitegen.building.site import build_site
from sitegen.building.store import Store
from sitegen.sharing import pack_piece, unpack_bundle
from tests.building.studio import musicxml, tree_of, write_content
from tests.sharing.hostile import PNG

HERE, THERE = "The small studio", "A studio elsewhere"
BASS = "C3e G3 E3 G3 C3 G3 E3 G3 | G2 F3 D3 F3 G2 F3 D3 F3 | C3w"
WORDS = """---
title: 'Waltz: "the small one"'
composer: A. Example
composer_died: 1849
score: score.musicxml
licence: CC-BY-SA-4.0
source: First edition of 1840
encoder: B. Example
practise:
  - {day: 1, stage: bass line, bars: '1-2'}
adjustments:
  - {at: 'bar 2, beat 1', chord: V7}
stages:
  - bass line
  - {file: mine.musicxml, title: My own}
  - as written
---

![Curved fingers](pictures/hand ä.png) [Hear it](bars:1-2), then read [the sheet](sheet.txt).

![The first bar](bars:1)
"""


@pytest.fixture
def waltz(tmp_path: Path) -> Path:
    """A piece with all that a piece can have."""
    folder = write_content(tmp_path / "here", waltz=musicxml("C5q D5 E5 C5 | F5q E5 D5 B4 | C5w", BASS)) / "waltz"
    (folder / "piece.md").write_text(WORDS.replace("(pictures/hand ä.png)", "(<pictures/hand ä.png>)"))
    (folder / "mine.musicxml").write_text(musicxml("C5q D5 E5 C5 | F5q E5 D5 B4 | C5w", "C3w | G2w | C3w"))
    (folder / "pictures").mkdir()
    (folder / "pictures" / "hand ä.png").write_bytes(PNG)
    (folder / "sheet.txt").write_text("Lean, and let go.")
    return folder


def pages(content: Path, site: Path, name: str) -> dict[str, bytes]:
    """The files of the waltz on the site of ``content``, with the studio's name taken out of them."""
    outcome = build_site(content, site, Store(site.with_name(f"{site.name} cache")), 0, lambda progress: None)
    assert (outcome.built, outcome.errors) == (("waltz",), ())
    files = tree_of(site / "pieces" / "waltz")
    return {path: data.replace(name.encode(), b"(studio)") for path, data in files.items()}


def test_a_piece_that_was_handed_on_has_the_same_pages(waltz: Path, tmp_path: Path) -> None:
    mine = pages(waltz.parent, tmp_path / "site", HERE)
    there = write_content(tmp_path / "elsewhere" / "content")
    (there / "studio.yaml").write_text(f"title: {THERE}\n")
    unpack_bundle(pack_piece(waltz, tmp_path / "waltz.zip").file, there)
    theirs = pages(there, tmp_path / "elsewhere" / "site", THERE)
    lists = [json.loads(files.pop("offline.json")) for files in (mine, theirs)]
    assert lists[0]["files"].keys() == lists[1]["files"].keys(), "digests there are those of pages with the name"
    assert mine.keys() == theirs.keys()
    assert {"files/pictures/hand ä.png", "files/sheet.txt", "score/score.musicxml"} <= mine.keys()
    assert [path for path in mine if mine[path] != theirs[path]] == []
