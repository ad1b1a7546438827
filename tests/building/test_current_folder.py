"""A site published into the folder in which somebody stands."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from sitegen.cli import main
from tests.building.conftest import Build
from tests.building.studio import musicxml, write_content, write_piece

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("inside", [".", "pieces/march"])
def test_site_may_be_published_into_the_current_folder(
    tmp_path: Path, build: Build, monkeypatch: pytest.MonkeyPatch, inside: str
) -> None:
    """A shell that stands in it must be told to go into the new one: its own folder is gone."""
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    write_piece(content, "march", musicxml(), "Listen to the tenor.")
    monkeypatch.chdir(tmp_path / "site" / inside)
    monkeypatch.setenv("SITEGEN_CACHE", str(tmp_path / "cache"))
    site = os.path.relpath(tmp_path / "site")
    told = CliRunner().invoke(main, ["build", os.path.relpath(content), "-o", site, "-j", "0"])
    assert told.exit_code == 0, told.output
    assert "Go there anew" in told.output
    assert Path.cwd() == tmp_path / "site" / inside
    assert os.path.samefile(Path.cwd(), tmp_path / "site" / inside)
    assert "tenor" in (tmp_path / "site" / "pieces" / "march" / "index.html").read_text()
    again = CliRunner().invoke(main, ["build", os.path.relpath(content), "-o", site, "-j", "0"])
    assert (again.exit_code, "Go there anew" in again.output) == (0, False)


def test_current_folder_that_is_gone_is_no_matter(tmp_path: Path) -> None:
    """As in a shell that stood in a site when the next one was published."""
    content = write_content(tmp_path / "content", march=musicxml())
    (tmp_path / "gone").mkdir()
    environment = os.environ | {"SITEGEN_CACHE": str(tmp_path / "store"), "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        ["sh", "-c", 'rmdir "$PWD" && exec "$0" -m sitegen check "$1" -j 0', sys.executable, str(content)],
        cwd=tmp_path / "gone", env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (0, "1 piece checked, 0 faults\n"), done.stderr
