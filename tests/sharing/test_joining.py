"""Several libraries in one site: apart where names are equal, named where they come from, each with its own faults."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from sitegen.building.checking import check_content
from sitegen.building.site import Outcome, build_site
from sitegen.building.store import Store
from sitegen.sharing import pack_piece
from tests.building.studio import musicxml, write_content, write_piece
from tests.sharing.hostile import bundle, piece

OTHER = musicxml("E5q D5 C5 D5", "C3e G3 E3 G3 C3 G3 E3 G3")


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    """A studio with a waltz, to which Anna's folder and a bundle of Berta's are joined; each has a waltz too."""
    content = write_content(tmp_path / "content", waltz=musicxml())
    anna = write_content(tmp_path / "anna", waltz=OTHER)
    (anna / "studio.yaml").write_text("title: Anna's studio\nteacher: Anna\n")
    write_piece(anna, "march", musicxml(), "Before it [the waltz](../waltz/piece.md).")
    pack_piece(write_content(tmp_path / "berta", waltz=OTHER) / "waltz", tmp_path / "waltz.zip")
    (content / "studio.yaml").write_text(
        "title: Mine\nrights: optional\nlibraries:\n  - {name: anna, place: ../anna}\n"
        "  - {name: berta, place: ../waltz.zip, credit: Berta of the hill}\n"
    )
    return content


def build(content: Path) -> Outcome:
    store = Store(content.parent / "cache")
    return build_site(content, content.parent / "site", store, 0, lambda progress: None)


def page(content: Path, slug: str, name: str = "index.html") -> str:
    return (content.parent / "site" / "pieces" / slug / name).read_text(encoding="utf-8")


def test_equal_names_are_kept_apart_and_each_page_names_its_library(studio: Path) -> None:
    outcome = build(studio)
    assert outcome.errors == ()
    assert outcome.built == ("anna--march", "anna--waltz", "berta--waltz", "waltz")
    for name in ("index.html", "print.html"):
        assert "From the library of Anna&#39;s studio · Anna" in page(studio, "anna--waltz", name)
        assert "From the library of Berta of the hill" in page(studio, "berta--waltz", name)
        assert "From the library of" not in page(studio, "waltz", name)
    stage = next((studio.parent / "site" / "pieces" / "anna--waltz" / "stages").iterdir())
    assert "From the library of" in (stage / "index.html").read_text()
    assert "From the library of Anna" in (studio.parent / "site" / "index.html").read_text()
    listed = json.loads((studio.parent / "site" / "site.json").read_text())["pieces"]
    assert [one.get("library") for one in listed] == ["Anna's studio · Anna"] * 2 + ["Berta of the hill", None]


def test_a_link_leads_to_the_piece_of_its_own_library(studio: Path) -> None:
    build(studio)
    assert 'href="../anna--waltz/index.html"' in page(studio, "anna--march")


def test_a_fault_in_one_library_hurts_only_itself(studio: Path) -> None:
    build(studio)
    shutil.rmtree(studio.parent / "anna" / "march")
    write_piece(studio.parent / "anna", "march", "<score-partwise>")
    (studio.parent / "waltz.zip").write_bytes(b"PK")
    outcome = build(studio)
    assert outcome.built == ("anna--waltz", "waltz")
    assert outcome.kept == ("anna--march", "berta--waltz"), "their last good pages"
    march, bundle = sorted(str(finding).partition("anna/")[2] or str(finding) for finding in outcome.errors)
    assert "waltz.zip: is no zip that can be read" in march + bundle
    assert "march/score.musicxml" in march + bundle
    assert "Not up to date" in page(studio, "anna--march")
    assert str(studio.parent) not in page(studio, "anna--march"), "where it lies is nobody's business"


def test_a_hostile_bundle_is_no_library(studio: Path) -> None:
    build(studio)
    (studio.parent / "waltz.zip").write_bytes(bundle(piece("<script>alert(1)</script>")))
    outcome = build(studio)
    assert outcome.built == ("anna--march", "anna--waltz", "waltz")
    (fault,) = outcome.errors
    assert "waltz.zip: piece.md:7: <script> stands in the commentary" in str(fault)
    assert outcome.kept == ("berta--waltz",)
    assert "cache" not in page(studio, "berta--waltz").partition("Not up to date")[2][:300]


def test_a_library_that_is_not_there_is_told_and_nothing_else_is_hurt(studio: Path) -> None:
    shutil.rmtree(studio.parent / "anna")
    outcome = build(studio)
    assert outcome.built == ("berta--waltz", "waltz")
    (fault,) = outcome.errors
    assert "anna: there is no such library" in str(fault)


def test_what_changes_in_a_joined_library_is_made_again_and_nothing_else(studio: Path) -> None:
    build(studio)
    assert "Sing it" not in page(studio, "anna--march")
    write_piece(studio.parent / "anna", "march", musicxml(), "Sing it.")
    assert build(studio).errors == ()
    assert "Sing it" in page(studio, "anna--march")
    (studio.parent / "anna" / "studio.yaml").write_text("title: The new studio\n")
    build(studio)
    assert "From the library of The new studio" in page(studio, "anna--waltz")
    before = {file: file.stat().st_mtime_ns for file in (studio.parent / "site").rglob("*.html")}
    build(studio)
    assert before == {file: file.stat().st_mtime_ns for file in (studio.parent / "site").rglob("*.html")}


def test_a_library_of_its_own_libraries_is_no_circle(studio: Path) -> None:
    text = (studio / "studio.yaml").read_text()
    (studio / "studio.yaml").write_text(text + "  - {name: mine, place: .}\n")
    (studio.parent / "anna" / "studio.yaml").write_text(
        "title: Anna\nlibraries:\n  - {name: back, place: ../content}\n"
    )
    outcome = build(studio)
    assert outcome.built == ("anna--march", "anna--waltz", "berta--waltz", "waltz")
    (fault,) = outcome.errors
    assert "is this library itself" in str(fault)


def test_check_finds_what_a_build_finds(studio: Path) -> None:
    write_piece(studio.parent / "anna", "march", musicxml(), "[Here](bars:90).")
    report = check_content(studio, Store(studio.parent / "cache"), lambda progress: None)
    assert report.pieces == 4
    assert [finding.piece for finding in report.errors] == ["anna--march"]
