"""The gallery, the search and what stands beside them are made again only where it shows."""

from __future__ import annotations

import json
from pathlib import Path

from tests.building.conftest import Build
from tests.building.studio import musicxml, tree_of, write_content

ADDRESS = "address: https://example.org/a\nrights: optional\n"
SHELF = ("index.html", "shelf.json", "by/key/index.html", "sitemap.xml")


def _studio(root: Path) -> Path:
    content = write_content(
        root / "content", march=musicxml(), waltz=musicxml("C5h. | E5h.", "C3q E3 G3 | C3 E3 G3", "3/4")
    )
    with (content / "studio.yaml").open("a", encoding="utf-8") as studio:
        studio.write(ADDRESS)
    (content / "collections").mkdir()
    text = "---\ntitle: Term\npieces: [waltz, march]\n---\n\nFirst [this](../march/piece.md).\n"
    (content / "collections" / "term.md").write_text(text, encoding="utf-8")
    return content


def _edit(content: Path, piece: str, old: str, new: str) -> None:
    file = content / piece / "piece.md"
    file.write_text(file.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")


def _numbers(site: Path) -> dict[str, int]:
    """The file system's number of each file: another one where it was written again."""
    return {path.relative_to(site).as_posix(): path.stat().st_ino for path in site.rglob("*") if path.is_file()}


def _finding(site: Path, word: str) -> list[str]:
    """The pieces that a word finds anywhere."""
    index = json.loads((site / "search" / "index.json").read_text(encoding="utf-8"))
    slugs = [row[0] for row in json.loads((site / "shelf.json").read_text(encoding="utf-8"))["pieces"]]
    found: set[str] = set()
    for _, file in index["parts"]:
        for row in json.loads((site / "search" / file).read_text(encoding="utf-8")).get(word, []):
            number = 0
            for step in row:
                number += step
                found.add(slugs[number])
    return sorted(found)


def test_a_sentence_changes_the_search_and_not_the_gallery(tmp_path: Path, build: Build) -> None:
    content, site = _studio(tmp_path), tmp_path / "site"
    build()
    before = _numbers(site)
    assert _finding(site, "tenor") == []
    _edit(content, "march", "Listen to the bass.", "Listen to the tenor.")
    build()
    after = _numbers(site)
    assert _finding(site, "tenor") == ["march"]
    assert _finding(site, "bass") == ["march", "waltz"]
    for path in (*SHELF, "collections/term/index.html", "pieces/waltz/index.html", "pieces/march/card.png"):
        assert after[path] == before[path], path
    again = tmp_path / "again"
    build(site=again, cache="another")
    assert tree_of(again) == tree_of(site)


def test_a_title_changes_the_gallery_and_the_collection_that_has_it(tmp_path: Path, build: Build) -> None:
    content, site = _studio(tmp_path), tmp_path / "site"
    build()
    _edit(content, "march", "title: March", "title: The old march\nadded: 2026-03-01")
    build()
    for path in ("index.html", "shelf.json", "collections/term/index.html", "by/key/index.html", "feed.xml"):
        assert "The old march" in (site / path).read_text(encoding="utf-8"), path
    assert _finding(site, "old") == ["march"]


def test_a_collection_at_fault_is_told_and_all_else_is_there(tmp_path: Path, build: Build) -> None:
    content, site = _studio(tmp_path), tmp_path / "site"
    (content / "collections" / "bad.md").write_text("---\ntitle: Bad\n---\n", encoding="utf-8")
    outcome = build()
    assert outcome.built == ("march", "waltz")
    assert [fault.line for fault in outcome.errors] == [2]
    assert (site / "collections" / "term" / "index.html").is_file()
    assert not (site / "collections" / "bad").exists()
    page = (site / "collections" / "term" / "index.html").read_text(encoding="utf-8")
    assert 'href="../../pieces/march/index.html" rel="noopener">this</a>' in page
    (content / "collections" / "bad.md").unlink()
    assert build().errors == ()


def test_a_piece_at_fault_is_still_found_by_its_last_good_words(tmp_path: Path, build: Build) -> None:
    content, site = _studio(tmp_path), tmp_path / "site"
    _edit(content, "march", "Listen to the bass.", "Listen to the tenor.")
    build()
    (content / "march" / "score.musicxml").write_text("<score-partwise>", encoding="utf-8")
    assert build().kept == ("march",)
    assert _finding(site, "tenor") == ["march"]
    assert "pieces/march/" in (site / "index.html").read_text(encoding="utf-8")


def test_what_the_store_forgot_is_found_where_the_site_stands(tmp_path: Path, build: Build) -> None:
    content, site = _studio(tmp_path), tmp_path / "site"
    _edit(content, "waltz", "Listen to the bass.", "Listen to the tenor.")
    build()
    for value in (tmp_path / "cache" / "values").rglob("*"):
        if value.is_file():
            value.unlink()
    _edit(content, "march", "Listen to the bass.", "Listen to the alto.")
    build()
    assert (_finding(site, "tenor"), _finding(site, "alto")) == (["waltz"], ["march"])


def test_pictures_for_others_are_made_only_where_the_address_is_known(tmp_path: Path, build: Build) -> None:
    content, site = _studio(tmp_path), tmp_path / "site"
    build()
    assert (site / "pieces" / "march" / "card.png").read_bytes().startswith(b"\x89PNG")
    listed = json.loads((site / "pieces" / "march" / "offline.json").read_text(encoding="utf-8"))
    assert not {"card.png", "words.json"} & listed["files"].keys()
    studio = content / "studio.yaml"
    studio.write_text(studio.read_text(encoding="utf-8").replace(ADDRESS, ""), encoding="utf-8")
    build()
    assert not {path for path in tree_of(site) if path.endswith(("card.png", "sitemap.xml", "feed.xml"))}
