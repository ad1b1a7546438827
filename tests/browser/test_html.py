"""Every page is HTML as the standard has it: as it is published, and as scripts have made it."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import WIDE, OpenPage
from tests.browser.serving import SOURCES
from tests.browser.shelf_site import write_shelf

_VALIDATOR = SOURCES.parent / "node_modules" / "html-validate" / "bin" / "html-validate.mjs"
#: Files of the page's own site need no digest; a button that closes the form of its sheet is what a button is; the
#: card of a note, whose heading is of the third rank, stands in the bar, which comes before the head of the page.
_RULES = Path(__file__).with_name("html-rules.json")


def _faults(told: Path, *pages: Path) -> list[str]:
    """What is no HTML in ``pages``, one line a fault. ``told`` is a folder for what the validator says: of what goes
    into a pipe it loses all but the first 64 kB when it ends."""
    node = shutil.which("node")
    if node is None or not _VALIDATOR.is_file():
        message = "html-validate is not installed: run 'npm ci' in themes/base"
        if node is not None and os.environ.get("CI") == "true":
            pytest.fail(message)
        pytest.skip(message)
    command = [node, str(_VALIDATOR), "--config", str(_RULES), "--formatter", "json", *map(str, pages)]
    said = told / "said.json"
    with said.open("wb") as out:
        ran = subprocess.run(command, stdout=out, stderr=subprocess.PIPE, text=True, check=False)
    assert said.stat().st_size, ran.stderr
    return [
        f"{Path(page['filePath']).name}:{fault['line']}: {fault['message']} ({fault['ruleId']})"
        for page in json.loads(said.read_bytes())
        for fault in page["messages"]
    ]


def _published(root: Path) -> list[Path]:
    return sorted(root.rglob("*.html"))


def test_published_pages_are_valid(trial_root: Path, demo_root: Path, tmp_path: Path) -> None:
    kinds = {place.relative_to(demo_root).parts[0] for place in _published(demo_root)}
    assert kinds >= {"index.html", "about", "pages", "pieces", "teachers"}
    assert _faults(tmp_path, *_published(trial_root), *_published(demo_root)) == []


def test_pages_that_list_many_pieces_are_valid(tmp_path: Path) -> None:
    write_shelf(tmp_path, 30)
    assert len(_published(tmp_path)) > 8
    assert _faults(tmp_path, *_published(tmp_path)) == []


def test_what_scripts_make_of_the_pages_is_valid(open_piece: OpenPage, trial: str, tmp_path: Path) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.keyboard.press("Shift+ArrowRight")
    for key in "thn.":
        page.keyboard.press(key)
    page.wait_for_selector("#card:not([hidden])")
    page.wait_for_selector(".strip text")
    kept = [_as_it_is(page, tmp_path / "shown.html")]
    page.keyboard.press("]")
    page.keyboard.press("b")
    page.wait_for_selector(".pairs")
    kept.append(_as_it_is(page, tmp_path / "compared.html"))
    for name in ("index.html", "about/index.html", "pieces/eight-bars/print.html"):
        page.goto(trial + name)
        page.wait_for_selector("#settings", state="attached")
        kept.append(_as_it_is(page, tmp_path / name.replace("/", "-")))
    assert _faults(tmp_path, *kept) == []


def _as_it_is(page: Page, place: Path) -> Path:
    place.write_text("<!doctype html>\n" + page.evaluate("document.documentElement.outerHTML"), encoding="utf-8")
    return place


def test_a_fault_would_be_found(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    page.write_text("<!doctype html>\n<html lang=en><head><title>A</title></head><body><p><ul></ul></p></body></html>")
    assert _faults(tmp_path, page)
