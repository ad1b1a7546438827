"""A new kind of published file is one module: it is found, published, listed, and written when its inputs change."""

from __future__ import annotations

import hashlib
import json
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from sitegen.publishing import outputs
from sitegen.publishing.outputs import registry
from tests.building.conftest import Build
from tests.building.studio import musicxml, write_content, write_piece

_COUNTS = '''
"""``bars.txt``: how many bars a piece has."""

from sitegen.publishing.outputs.nouns import OfPiece, PublishedFile, below_piece

COUNTS = PublishedFile(
    OfPiece, below_piece("bars.txt"), lambda source, path: f"{source.piece.title}: {len(source.piece.bars)}".encode()
)
'''
_TUNES = '''
"""``tune.mid``: a stage to be heard, under another name."""

from sitegen.publishing.outputs.nouns import OfPlayed, TakenFile, folder_of, stage_file

TUNE = TakenFile(
    OfPlayed, lambda source: folder_of(source.piece) + stage_file(source.stage, "tune.mid"), lambda source: source.midi
)
'''


@pytest.fixture(autouse=True)
def two_more_modules(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    folder = tmp_path / "more outputs"
    folder.mkdir()
    for name, text in {"bar_counts": _COUNTS, "tunes": _TUNES}.items():
        (folder / f"{name}.py").write_text(text, encoding="utf-8")
    monkeypatch.setattr(outputs, "__path__", [*outputs.__path__, str(folder)])
    registry._kinds.cache_clear()
    yield
    registry._kinds.cache_clear()
    for name in ("bar_counts", "tunes"):
        sys.modules.pop(f"{outputs.__name__}.{name}", None)


def _number(place: Path) -> int:
    """The file system's number of a file: another one where it was written again."""
    return place.stat().st_ino


def test_a_new_module_is_published_listed_and_kept_for_use_without_a_connection(tmp_path: Path, build: Build) -> None:
    write_content(tmp_path / "content", march=musicxml())
    build()
    site = tmp_path / "site"
    count = site / "pieces" / "march" / "bars.txt"
    assert count.read_bytes() == b"March: 1"
    tune = site / "pieces" / "march" / "stages" / "as-written" / "tune.mid"
    assert tune.read_bytes() == tune.with_name("stage.mid").read_bytes()
    listed = json.loads((site / "manifest.json").read_bytes())["files"]
    kept = json.loads((site / "pieces" / "march" / "offline.json").read_bytes())["files"]
    for place in (count, tune):
        digest = hashlib.sha256(place.read_bytes()).hexdigest()
        assert listed[place.relative_to(site).as_posix()]["sha256"] == digest
        assert kept[place.relative_to(site / "pieces" / "march").as_posix()] == digest


def test_it_is_written_again_only_when_its_inputs_change(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    folder = tmp_path / "site" / "pieces" / "march"
    count, tune, page = folder / "bars.txt", folder / "stages" / "as-written" / "tune.mid", folder / "index.html"
    before = _number(count), _number(tune), _number(page)
    write_piece(content, "march", musicxml(), commentary="Listen to the tune.")
    build()
    assert (_number(count), _number(tune)) == before[:2]
    assert _number(page) != before[2]
    write_piece(content, "march", musicxml("C5q D5 E5 F5"))
    build()
    assert _number(count) == before[0], "it still has one bar"
    assert _number(tune) != before[1]
    write_piece(content, "march", musicxml("C5q D5 E5 F5 | C5w", "C3w | C3w"))
    build()
    assert count.read_bytes() == b"March: 2"
