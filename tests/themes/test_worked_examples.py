"""What ADDING.md shows of making a theme and a layout is made as it is written there, and is seen on the pages."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from sitegen.building.site import build_site
from sitegen.building.store import Store
from sitegen.errors import ContentError
from sitegen.publishing import find_theme
from tests.building.studio import musicxml, write_content

_ROOT = Path(__file__).resolve().parents[2]
_BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.M | re.S)


def _example(title: str) -> list[tuple[str, str]]:
    """The blocks of code under a heading of ADDING.md that are files or rows, each with its language."""
    text = (_ROOT / "sitegen" / "ADDING.md").read_text(encoding="utf-8")
    _, _, behind = text.partition(f"\n## {title}\n")
    assert behind, f"ADDING.md has no '{title}'"
    blocks = _BLOCK.findall(re.split(r"^##+ ", behind, maxsplit=1, flags=re.M)[0])
    return [(language, block) for language, block in blocks if language not in ("console", "yaml")]


@pytest.fixture
def content(tmp_path: Path) -> Path:
    return write_content(tmp_path / "content", march=musicxml())


def _slate(folder: Path) -> None:
    (folder / "slate" / "templates").mkdir(parents=True)
    files = ("theme.toml", "slate.css", "templates/about.html.j2")
    for name, (_, text) in zip(files, _example("A theme"), strict=True):
        (folder / "slate" / name).write_text(text, encoding="utf-8")


def test_a_theme_is_made_from_what_is_written(content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _slate(tmp_path / "my-themes")
    monkeypatch.setenv("SITEGEN_THEMES", str(tmp_path / "my-themes"))
    with (content / "studio.yaml").open("a") as studio:
        studio.write("theme: slate\n")
    site = tmp_path / "site"
    outcome = build_site(content, site, Store(tmp_path / "store"), 0, lambda _: None)
    assert [str(each) for each in outcome.errors] == []
    about = (site / "about" / "index.html").read_text(encoding="utf-8")
    assert "Printed on slate." in about
    assert "</html>" in about, "the rest of the page is that of base"
    (style,) = re.findall(r'href="\.\./(assets/site-[^"]+\.css)"', about)
    text = (site / style).read_text(encoding="utf-8")
    assert "--paper:#eef1f3" in text
    assert "--ink:#000000" in text, "the colours that it does not name are those of base"
    assert text.index(".systems") < text.index("Charter"), "its own style stands behind that of base"
    assert '"theme_color":"#eef1f3"' in (site / "site.webmanifest").read_text(encoding="utf-8")
    assert len(list((site / "assets").glob("*.css"))) == 2

    # changed in one colour it is another site, though nothing of the content has changed
    declared = tmp_path / "my-themes" / "slate" / "theme.toml"
    declared.write_text(declared.read_text().replace("#0b5c4a", "#5c0b4a"), encoding="utf-8")
    build_site(content, site, Store(tmp_path / "store"), 0, lambda _: None)
    assert style not in (site / "about" / "index.html").read_text(encoding="utf-8")


def test_a_fault_of_a_theme_ends_a_build_in_one_line(
    content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _slate(tmp_path / "my-themes")
    declared = tmp_path / "my-themes" / "slate" / "theme.toml"
    declared.write_text(declared.read_text().replace("#0b5c4a", "teal"), encoding="utf-8")
    monkeypatch.setenv("SITEGEN_THEMES", str(tmp_path / "my-themes"))
    with (content / "studio.yaml").open("a") as studio:
        studio.write("theme: slate\n")
    with pytest.raises(ContentError, match=r"theme\.toml:\d+: 'teal' for 'pencil' is no colour"):
        build_site(content, tmp_path / "site", Store(tmp_path / "store"), 0, lambda _: None)


def test_a_layout_is_drawn_and_shown(content: Path, tmp_path: Path) -> None:
    """The program with the row that is written, and a theme that shows it."""
    (_, row), (_, theme) = _example("A layout")
    program = tmp_path / "program"
    shutil.copytree(_ROOT / "sitegen", program / "sitegen", ignore=shutil.ignore_patterns("__pycache__", "_themes"))
    layouts = program / "sitegen" / "layouts.py"
    before, phone, after = layouts.read_text(encoding="utf-8").partition('    Layout("phone", 760, _BEFORE_MUSIC),\n')
    assert phone
    layouts.write_text(f"{before}{phone}{row}{after}", encoding="utf-8")
    (program / "themes" / "tablets").mkdir(parents=True)
    (program / "themes" / "base").symlink_to(find_theme("base").root)
    (program / "themes" / "tablets" / "theme.toml").write_text(theme, encoding="utf-8")
    with (content / "studio.yaml").open("a") as studio:
        studio.write("theme: tablets\n")
    environment = {**os.environ, "PYTHONPATH": str(program), "SITEGEN_CACHE": str(tmp_path / "store")}
    command = [sys.executable, "-m", "sitegen", "build", str(content), "-o", str(tmp_path / "site")]
    ran = subprocess.run(command, env=environment, cwd=program, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    (page,) = (tmp_path / "site" / "pieces").glob("*/index.html")
    text = page.read_text(encoding="utf-8")
    assert re.findall(r'data-layout="(\w+)"', text) == ["phone", "tablet", "wide", "large"]
    assert re.search(r'src="stages/[\w-]+/tablet-1\.svg#', text), "it is seen without scripts too"
    (style,) = re.findall(r'href="\.\./\.\./(assets/site-[^"]+\.css)"', text)
    shown = (tmp_path / "site" / style).read_text(encoding="utf-8")
    assert ':root:not([data-size]) .systems[data-layout="tablet"]' in shown
    assert '[data-size="largest"] .systems[data-layout="tablet"]' in shown, "where none is named it is the usual one"


def test_what_no_page_shows_is_not_drawn(content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A theme for one screen: the layout that it shows and the one of paper, on the disk and in the listing."""
    shelf = tmp_path / "my-themes"
    (shelf / "hall").mkdir(parents=True)
    screen = 'name = "hall"\nbuilds_on = "base"\n[[screens]]\nfrom = 0\nusual = "large"\n'
    (shelf / "hall" / "theme.toml").write_text(screen, encoding="utf-8")
    monkeypatch.setenv("SITEGEN_THEMES", str(shelf))
    with (content / "studio.yaml").open("a") as studio:
        studio.write("theme: hall\n")
    assert build_site(content, tmp_path / "site", Store(tmp_path / "store"), 0, lambda _: None).errors == ()
    drawn = {path.name.rpartition("-")[0] for path in (tmp_path / "site").glob("pieces/*/stages/*/*.svg")}
    assert drawn == {"large", "wide"}
    listing = json.loads((tmp_path / "site" / "site.json").read_text(encoding="utf-8"))
    stages = [stage for piece in listing["pieces"] for stage in piece["stages"]]
    assert {tuple(sheet["layout"] for sheet in stage["svg"]) for stage in stages} == {("large", "wide")}
    (page,) = (tmp_path / "site" / "pieces").glob("*/index.html")
    assert re.findall(r'data-layout="(\w+)"', page.read_text(encoding="utf-8")) == ["large"]
    assert "/wide-1.svg#" in (page.parent / "print.html").read_text(encoding="utf-8")
