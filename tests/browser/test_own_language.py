"""Languages of which no script knows anything: one that counts in four forms, and one that a studio brings itself,
written from the right."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

from sitegen.words import form_of
from tests.browser.conftest import OpenPage
from tests.browser.serving import serving
from tests.browser.trial_site import write_site
from tests.building.studio import musicxml, write_content

_UNITS = {"one": "uderzenie", "few": "uderzenia", "many": "uderzeń"}
_HEBREW = {
    "gallery.pieces": "יצירות",
    "gallery.search": "חיפוש יצירה",
    "facts.bars.one": "תיבה אחת",
    "facts.bars.two": "שתי תיבות",
    "facts.bars.other": "{count} תיבות",
    "player.play": "ניגון",
    "js.play": "ניגון",
    "stage.bass line": "קו הבס",
}


def test_scripts_count_as_the_language_does(open_page: OpenPage, tmp_path: Path) -> None:
    write_site(tmp_path, "pl")
    with serving(tmp_path) as address:
        page = open_page(f"{address}pieces/eight-bars/index.html")
        page.wait_for_selector("#player:not([hidden])")
        seen = set()
        for _ in range(12):
            said = page.text_content("#tempo-text") or ""
            found = re.fullmatch(r"\d+ %, (\d+) (\w+) na minutę", said)
            assert found, said
            form = form_of("pl", int(found[1]))
            assert found[2] == _UNITS[form]
            seen.add(form)
            page.click("#slower")
        assert seen == {"few", "many"}


def test_a_language_of_the_studio_s_own_is_laid_out_from_the_right(open_page: OpenPage, tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", song=musicxml("C5w | E5w", "C3w | G2w"))
    (content / "studio.yaml").write_text("title: אולפן\nlanguage: he\n", encoding="utf-8")
    (content / "words").mkdir()
    (content / "words" / "he.json").write_text(json.dumps(_HEBREW, ensure_ascii=False), encoding="utf-8")
    command = [sys.executable, "-m", "sitegen", "build", str(content), "-o", str(tmp_path / "site"), "-j", "1"]
    built = subprocess.run(command, capture_output=True, text=True, check=False)
    assert built.returncode == 0, built.stderr
    assert "the language 'he' lacks" in built.stderr
    with serving(tmp_path / "site") as address:
        for path, words in (("index.html", "יצירות"), ("pieces/song/index.html", "שתי תיבות")):
            page = open_page(address + path)
            page.wait_for_load_state("networkidle")
            assert page.evaluate("document.documentElement.dir") == "rtl"
            assert page.evaluate("document.documentElement.scrollWidth") <= 390
            assert words in (page.text_content("body") or "")
        assert page.get_attribute("#play", "aria-label") == "ניגון"
