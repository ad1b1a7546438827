"""A bundle is a stranger's file: what it tries is refused in one line, and nothing is written."""

from __future__ import annotations

import re
import warnings
from pathlib import Path

import pytest
from click.testing import CliRunner

from sitegen.cli import main
from sitegen.sharing import unpack_bundle
from tests.building.studio import tree_of, write_content
from tests.sharing.hostile import HOSTILE, bundle, piece, write


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_bundle_is_refused_in_one_line_and_nothing_is_written(name: str, tmp_path: Path) -> None:
    content = write_content(tmp_path / "studio" / "content")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # zipfile's own, of names that are there twice
        file = write(name, tmp_path)
    before = tree_of(tmp_path)
    result = CliRunner().invoke(main, ["unpack", str(file), "--content", str(content)])
    assert result.exit_code == 1
    assert result.stdout == ""
    (line,) = result.stderr.splitlines()
    assert line.startswith(f"{file}: "), line
    assert re.search(HOSTILE[name][1], line), line
    assert "Traceback" not in line
    assert "itself is at fault" not in line
    assert tree_of(tmp_path) == before
    assert sorted(content.iterdir()) == [content / "studio.yaml"]


def test_there_are_more_than_thirty_kinds() -> None:
    assert len(HOSTILE) >= 30


def test_the_same_piece_without_malice_is_taken(tmp_path: Path) -> None:
    """What the table is made from: else everything would be refused for a reason that is not named."""
    content = write_content(tmp_path / "content")
    file = tmp_path / "good.bundle.zip"
    file.write_bytes(bundle(piece("See [the text](a.txt).") | {"a.txt": b"a"}))
    assert unpack_bundle(file, content).how == "new"
    assert {"a.txt", "piece.md", "score.musicxml"} <= tree_of(content / "tune").keys()
