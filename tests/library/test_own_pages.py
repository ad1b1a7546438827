"""Pages of the studio's own words: where they lead, in which order they stand, and what is told of a mistake in one."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from sitegen.building.checking import check_content
from sitegen.building.site import build_site
from sitegen.building.store import Store
from sitegen.library import load_library
from tests.building.studio import musicxml, write_content

PRACTICE = """---
title: How we practise
order: 2
summary: Little and often.
---

See [your hands](hands.md#two-hands), [bar one](../march/piece.md#bar-1), [the term](../collections/term.md),
[a table](table.txt) and ![a hand](pictures/hand.png).
"""
HANDS = "---\ntitle: Hände\norder: 1\nlanguage: de\n---\n\n## Two *hands*\n\n```yaml\nhand: small  # or large\n```\n"
PNG = b"\x89PNG\r\n\x1a\n" + bytes(100)


@pytest.fixture
def content(tmp_path: Path) -> Path:
    root = write_content(tmp_path / "content", march=musicxml())
    (root / "collections").mkdir()
    (root / "collections" / "term.md").write_text("---\ntitle: Term\npieces: [march]\n---\n", encoding="utf-8")
    (root / "pages" / "pictures").mkdir(parents=True)
    (root / "pages" / "practice.md").write_text(PRACTICE, encoding="utf-8")
    (root / "pages" / "hands.md").write_text(HANDS, encoding="utf-8")
    (root / "pages" / "table.txt").write_text("One\n", encoding="utf-8")
    (root / "pages" / "pictures" / "hand.png").write_bytes(PNG)
    return root


def _built(content: Path) -> Path:
    site = content.parent / "site"
    build_site(content, site, Store(content.parent / "store"), 0, lambda *_: None)
    return site


def _told(content: Path) -> list[str]:
    report = check_content(content, Store(content.parent / "store"), lambda *_: None)
    return [str(each).removeprefix(f"{content}/") for each in report.findings]


def test_pages_stand_in_their_order_and_those_without_one_come_last(content: Path) -> None:
    (content / "pages" / "b.md").write_text("---\ntitle: A\n---\n", encoding="utf-8")
    (content / "pages" / "a.md").write_text("---\ntitle: B\n---\n", encoding="utf-8")
    own = load_library(content).own
    assert [page.slug for page in own.pages] == ["hands", "practice", "b", "a"]
    assert (own.faults, own.warnings) == ((), ())


def test_a_page_is_published_and_leads_where_it_says(content: Path) -> None:
    site = _built(content)
    page = (site / "pages" / "practice" / "index.html").read_text(encoding="utf-8")
    for place in (
        "../../pages/hands/index.html#two-hands",
        "../../pieces/march/index.html#bar-1",
        "../../collections/term/index.html",
        "../../pages/files/table.txt",
    ):
        assert f'href="{place}"' in page
        assert (site / "pages" / "practice" / place.partition("#")[0]).is_file()
    assert 'src="../../pages/files/pictures/hand.png"' in page
    assert '<p class="quiet">Little and often.</p>' in page
    hands = (site / "pages" / "hands" / "index.html").read_text(encoding="utf-8")
    assert '<h2 id="two-hands">Two <em>hands</em></h2>' in hands
    assert '<article class="prose" lang="de">' in hands
    assert re.search(r"<pre><code>hand: small  # or large\n</code></pre>", hands)


def test_pages_are_found_from_the_gallery_and_kept_for_use_without_a_connection(content: Path) -> None:
    with (content / "studio.yaml").open("a", encoding="utf-8") as studio:
        studio.write("address: https://example.org/a\nrights: optional\n")
    site = _built(content)
    gallery = (site / "index.html").read_text(encoding="utf-8")
    assert re.findall(r'href="pages/([^/]+)/index.html"', gallery) == ["hands", "practice"]
    assert 'href="../pages/hands/index.html"' in (site / "about" / "index.html").read_text(encoding="utf-8")
    assert "https://example.org/a/pages/hands/" in (site / "sitemap.xml").read_text(encoding="utf-8")
    kept = json.loads((site / "offline.json").read_text(encoding="utf-8"))["files"]
    assert {"pages/hands/index.html", "pages/practice/index.html"} <= kept.keys()
    listed = json.loads((site / "manifest.json").read_text(encoding="utf-8"))["files"]
    assert "pages/files/table.txt" in json.dumps(listed)


def test_a_changed_page_is_made_again_and_one_that_is_gone_goes(content: Path) -> None:
    site = _built(content)
    before = (site / "pieces" / "march" / "index.html").stat().st_ino
    (content / "pages" / "hands.md").write_text(HANDS.replace("small", "medium"), encoding="utf-8")
    (content / "pages" / "table.txt").write_text("Two\n", encoding="utf-8")
    site = _built(content)
    assert "hand: medium" in (site / "pages" / "hands" / "index.html").read_text(encoding="utf-8")
    assert (site / "pages" / "files" / "table.txt").read_text(encoding="utf-8") == "Two\n"
    assert (site / "pieces" / "march" / "index.html").stat().st_ino == before
    (content / "pages" / "practice.md").unlink()
    assert not (_built(content) / "pages" / "practice").exists()


MISTAKES = [
    ("Words.\n", "pages/bad.md:1: begins without front matter."),
    ("---\nsummary: S\n---\n", "pages/bad.md:2: field 'title' is missing."),
    ("---\ntitle: T\norder: first\n---\n", "pages/bad.md:3: field 'order' cannot be used."),
    ("---\ntitle: T\n---\n[a](hnads.md)\n", "bad.md:4: warning: the link 'hnads.md' leads to nothing that is there."),
    (
        "---\ntitle: T\n---\n[a](hands.md#two)\n",
        "'hands.md#two' leads to no heading of the page. Perhaps '#two-hands'.",
    ),
    ("---\ntitle: T\n---\n[a](#there)\n", "the link '#there' leads to no heading of the page."),
    ("---\ntitle: T\n---\n[a](../mrach/piece.md)\n", "'../mrach/piece.md' leads to nothing that is there."),
    ("---\ntitle: T\n---\n[a](bars:1-2)\n", "'bars:1-2' leads to bars of no piece. A page belongs to no piece"),
    ("---\ntitle: T\n---\n[a](teachers.md)\n", "the link 'teachers.md' leads to nothing that is there."),
    ("---\ntitle: T\n---\n[a](gone.pdf)\n", "bad.md:4: the file 'gone.pdf' is not there."),
    ("---\ntitle: T\n---\n<script>x</script>\n", "bad.md:4: warning: <script> is left out of the page."),
    ("---\ntitle: T\n---\n![](pictures/hand.png)\n", "has no words for those who cannot see it."),
]


@pytest.mark.parametrize(("text", "told"), MISTAKES, ids=[told for _, told in MISTAKES])
def test_a_mistake_is_told_with_its_line(content: Path, text: str, told: str) -> None:
    (content / "pages" / "bad.md").write_text(text, encoding="utf-8")
    found = _told(content)
    assert len([each for each in found if told in each]) == 1, found


def test_what_lies_beside_and_no_page_shows_is_told(content: Path) -> None:
    (content / "pages" / "notes.txt").write_text("x", encoding="utf-8")
    assert [each for each in _told(content) if "pages/" in each] == [
        "pages/notes.txt: warning: is neither a page, called NAME.md, nor shown or offered by one. "
        "Give it such a name, or put it elsewhere."
    ]


def test_a_link_to_the_page_for_teachers_is_good_where_there_is_one(content: Path) -> None:
    (content / "pages" / "bad.md").write_text("---\ntitle: T\n---\n[a](teachers.md#commands)\n", encoding="utf-8")
    with (content / "studio.yaml").open("a", encoding="utf-8") as studio:
        studio.write("reference: true\n")
    assert _told(content) == []
