"""An assignment begun: a draft that can be built as it is, a secret made once, and nothing ever written over."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from sitegen.cli import main
from sitegen.errors import ContentError
from sitegen.library import load_library
from sitegen.starting import start_assignment
from tests.building.studio import musicxml, tree_of, write_content


@pytest.fixture
def content(tmp_path: Path) -> Path:
    return write_content(tmp_path / "content", march=musicxml())


@pytest.mark.parametrize("code", ["blue-3", "Group 2", "B7", "2026", "lower: third"])
def test_a_draft_is_read_as_it_is(content: Path, code: str) -> None:
    start_assignment(code, content)
    library = load_library(content)
    assert not library.faults
    (one,) = library.assigned.assignments
    assert one.matter.begins == date.today() + timedelta(days=1)
    assert one.matter.ends == one.matter.begins + timedelta(days=6)
    assert [entry.piece for entry in one.matter.set] == ["march"]
    assert library.assigned.secret


def test_the_secret_is_made_once_and_is_another_in_each_studio(tmp_path: Path, content: Path) -> None:
    first = start_assignment("blue-3", content)
    assert [file.name for file in first.files] == ["secret.txt", "blue-3.md"]
    secret = first.files[0].read_text()
    assert [file.name for file in start_assignment("blue-4", content).files] == ["blue-4.md"]
    assert first.files[0].read_text() == secret
    assert len(secret.strip()) == 64
    other = write_content(tmp_path / "other", march=musicxml())
    assert start_assignment("blue-3", other).files[0].read_text() != secret


def test_nothing_is_written_over(content: Path) -> None:
    start_assignment("blue-3", content)
    before = tree_of(content)
    with pytest.raises(ContentError, match="is there already"):
        start_assignment("Blue 3", content)
    assert tree_of(content) == before


def test_a_name_is_told_at_once(content: Path) -> None:
    result = CliRunner().invoke(main, ["assign", "Anna", "--content", str(content)])
    assert result.exit_code == 0
    assert "looks like a person's name" in result.stderr
    assert "looks like" not in CliRunner().invoke(main, ["assign", "blue-3", "--content", str(content)]).stderr


def test_without_a_studio_nothing_is_begun(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["assign", "blue-3", "--content", str(tmp_path / "none")])
    assert result.exit_code == 1
    assert not (tmp_path / "none").exists()
