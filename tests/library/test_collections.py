"""Collections as a teacher writes them, and that a fault in one hurts no other, nor any piece."""

from __future__ import annotations

from pathlib import Path

import pytest

from sitegen.building.checking import check_content
from sitegen.building.store import Store
from sitegen.library import load_library
from tests.building.studio import musicxml, write_content


@pytest.fixture
def content(tmp_path: Path) -> Path:
    root = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml())
    (root / "collections").mkdir()
    return root


def _write(content: Path, name: str, text: str) -> None:
    (content / "collections" / name).write_text(text, encoding="utf-8")


GOOD = "---\ntitle: Autumn\npieces: [Waltz, march, waltz]\nsummary: Two.\n---\n\nBegin with [it](../waltz/piece.md).\n"


def test_a_collection_has_its_pieces_once_and_in_order(content: Path) -> None:
    _write(content, "An autumn set.md", GOOD)
    (one,) = load_library(content).collected.collections
    assert (one.slug, one.matter.title, one.slugs) == ("an-autumn-set", "Autumn", ("waltz", "march"))
    assert dict(one.leads) == {"../waltz/piece.md": "waltz"}


def test_a_piece_of_another_library_is_named_with_it(content: Path) -> None:
    _write(content, "both.md", "---\ntitle: Both\npieces: [anna--The Waltz, march]\n---\n")
    (one,) = load_library(content).collected.collections
    assert one.slugs == ("anna--the-waltz", "march")


MISTAKES = [
    ("bad.md", "Words.\n", "bad.md:1: begins without front matter."),
    ("bad.md", "---\ntitle: T\n---\n", "bad.md:2: field 'pieces' is missing."),
    ("bad.md", "---\npieces: [march]\n---\n", "field 'title' is missing."),
    ("bad.md", "---\ntitle: T\npieces: []\n---\n", "bad.md:3: field 'pieces' cannot be used."),
    ("bad.md", "---\ntitle: T\npieces: [march]\nperiod: x\n---\n", "bad.md:4: field 'period' is not known."),
    ("bad.md", "---\ntitle: T: U\npieces: [march]\n---\n", "bad.md:2: a text has a colon in it."),
    ("AUTUMN.md", GOOD, "has the same address as"),
]


@pytest.mark.parametrize(("name", "text", "told"), MISTAKES, ids=[told for *_, told in MISTAKES])
def test_a_fault_is_told_with_its_line_and_keeps_only_its_own_collection(
    content: Path, name: str, text: str, told: str
) -> None:
    _write(content, "autumn.md", GOOD)
    _write(content, name, text)
    library = load_library(content)
    assert [one.slug for one in library.collected.collections] == ["autumn"]
    assert [piece.slug for piece in library.pieces] == ["march", "waltz"]
    (fault,) = library.collected.faults
    assert told in str(fault)


def test_a_piece_that_is_not_there_is_told_with_the_nearest_and_left_out(content: Path, tmp_path: Path) -> None:
    _write(content, "autumn.md", GOOD.replace("march, waltz]", "mrach]"))
    _write(content, "notes.txt", "nothing")
    report = check_content(content, Store(tmp_path / "store"), lambda *_: None)
    assert report.errors == ()
    told = [str(one) for one in report.findings if "collections" in one.file]
    assert "autumn.md:3: warning: there is no piece 'mrach'; the collection is published without it." in told[1]
    assert "Perhaps 'march'" in told[1]
    assert "is not read: a collection is called NAME.md" in told[0]
