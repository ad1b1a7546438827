"""Every page works in a theme that builds on base: axe finds nothing in it, and nothing scrolls sideways."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser.conftest import OpenPage
from tests.browser.serving import serving
from tests.browser.test_access import axe

_ROOT = Path(__file__).resolve().parents[2]
_PAGES = {
    "gallery": "index.html",
    "piece": "pieces/waltz-in-e-minor/index.html",
    "print": "pieces/waltz-in-e-minor/print.html",
    "assignment": "for/*/index.html",
    "collection": "collections/*/index.html",
    "own page": "pages/when-something-is-wrong/index.html",
}


@pytest.fixture(scope="module")
def recital(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, str]]:
    """The studio's library in the look of a printed programme: its folder, and its address."""
    folder = tmp_path_factory.mktemp("recital")
    content, site = folder / "content", folder / "site"
    shutil.copytree(_ROOT / "content", content)
    studio = content / "studio.yaml"
    studio.write_text(re.sub(r"(?m)^theme: .*", "theme: recital", studio.read_text(encoding="utf-8")), encoding="utf-8")
    command = [sys.executable, "-m", "sitegen", "build", str(content), "--output", str(site)]
    built = subprocess.run(command, cwd=_ROOT, capture_output=True, text=True, check=False)
    assert built.returncode == 0, built.stderr
    with serving(site) as address:
        yield site, address


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("kind", _PAGES)
def test_every_page_works_in_a_printed_programme(
    open_page: OpenPage, recital: tuple[Path, str], kind: str, light: str
) -> None:
    site, address = recital
    place = sorted(site.glob(_PAGES[kind]))[0].relative_to(site).as_posix()
    page = open_page(address + place, color_scheme=light, reduced_motion="reduce")
    assert page.evaluate("getComputedStyle(document.querySelector('.masthead')).borderBottomStyle") == "double"
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        if kind == "piece":
            page.wait_for_selector("#player:not([hidden])")
        assert axe(page) == [], f"at {width} px"
        assert page.evaluate("document.documentElement.scrollWidth") <= width
