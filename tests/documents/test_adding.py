"""What ADDING.md shows of adding to the program is done as it is written there, in a copy of the program."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.documents.blocks import Block
from tests.documents.desk import ROOT, Desk
from tests.documents.running import faults_of, wrong_spans

ADDING = ROOT / "sitegen" / "ADDING.md"
INTRODUCTION, *SECTIONS = re.split(r"^(?=## )", ADDING.read_text(encoding="utf-8"), flags=re.M)
_LEFT_OUT = shutil.ignore_patterns("__pycache__", "node_modules", "_themes", "src")


def below(desk: Desk, block: Block, rest: str) -> Iterator[str]:
    """Lines of a file of the program, below one that is named."""
    path, _, above = rest.partition(" ")
    lines = (desk.here / path).read_text(encoding="utf-8").splitlines(keepends=True)
    found = [place for place, line in enumerate(lines) if line.strip() == above]
    if not found:
        yield f"{path} has no line '{above}'"
        return
    lines.insert(found[0] + 1, block.text)
    (desk.here / path).write_text("".join(lines), encoding="utf-8")


ROWS = {"below": below}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """The project's folder, as far as the program needs it, and a store of its own."""
    project = tmp_path / "project"
    for part in ("sitegen", "themes"):
        shutil.copytree(ROOT / part, project / part, ignore=_LEFT_OUT)
    return Desk(project, project, {"SITEGEN_CACHE": str(tmp_path / "store")})


@pytest.mark.parametrize("section", SECTIONS, ids=lambda section: section.partition("\n")[0].removeprefix("## "))
def test_what_is_added_is_there(section: str, tmp_path: Path, desk: Desk) -> None:
    document = tmp_path / "ADDING.md"
    document.write_text(INTRODUCTION + section, encoding="utf-8")
    assert faults_of(document, desk, ROWS) == []


def test_every_kind_that_is_listed_has_a_section_and_every_command_is_one() -> None:
    listed = re.findall(r"^\| \[an? [^]]+\]\(#([a-z-]+)\)", INTRODUCTION, re.M)
    assert sorted(listed) == sorted(
        section.partition("\n")[0].removeprefix("## ").lower().replace(" ", "-") for section in SECTIONS
    )
    assert wrong_spans(ADDING) == []


def test_a_row_that_has_no_place_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "desk").mkdir()
    (tmp_path / "desk" / "a.py").write_text("A = (\n)\n")
    document = tmp_path / "document.md"
    document.write_text("<!-- test: below a.py B = ( -->\n```python\n    1,\n```\n")
    assert faults_of(document, Desk(tmp_path / "desk"), ROWS) == ["document.md:2: a.py has no line 'B = ('"]
