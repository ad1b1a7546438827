"""Two teachers' ladders of the same work on one page, stage by stage."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from sitegen.building.site import Outcome, build_site
from sitegen.building.store import Store
from sitegen.library import PieceMatter
from sitegen.library.nouns import Origin, Piece
from sitegen.library.works import works_of
from sitegen.publishing import CardStage, GalleryCard
from sitegen.publishing.outputs.work_page import rows_of
from tests.building.studio import musicxml, write_content


def ladder(*stages: str) -> GalleryCard:
    shown = tuple(CardStage(name, name, 1, "", 1, 1) for name in stages)
    return GalleryCard("waltz", "Waltz", "", "", "", (), 1, len(stages), ladder=shown)


@pytest.mark.parametrize(
    ("one", "other", "rows"),
    [
        ("bass tune written", "bass tune written", "bass=bass tune=tune written=written"),
        ("bass written", "bass blocks tune written", "bass=bass -=blocks -=tune written=written"),
        ("bass tune written", "bass blocks written", "bass=bass -=blocks tune=- written=written"),
        ("bass tune written", "tune bass written", "bass=- tune=tune -=bass written=written"),
    ],
)
def test_stages_of_one_name_stand_beside_each_other_and_each_ladder_keeps_its_order(
    one: str, other: str, rows: str
) -> None:
    found = rows_of([ladder(*one.split()), ladder(*other.split())])
    assert " ".join("=".join(stage.slug if stage else "-" for stage in row) for row in found) == rows


def piece(slug: str, origin: str = "", **fields: str) -> Piece:
    matter = PieceMatter(title="Waltz", composer="A. Example", score="score.musicxml", **fields)  # type: ignore[arg-type]
    file = Path(slug, "piece.md")
    return Piece(slug, file, file, matter, origin=Origin(origin, origin) if origin else None)


def test_title_and_composer_make_a_work_between_libraries_and_not_within_one() -> None:
    assert works_of([piece("waltz"), piece("anna--waltz", "anna")]) == dict.fromkeys(
        ("waltz", "anna--waltz"), "a-example-waltz"
    )
    assert works_of([piece("waltz"), piece("waltz-2")]) == {}
    assert works_of([piece("waltz", work="W1"), piece("waltz-2", work="W1")]) == {"waltz": "w1", "waltz-2": "w1"}
    assert works_of([piece("waltz"), replace(piece("anna--waltz", "anna"), bare=True)]) == {}


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A studio and Anna's library with her own ladder of the same waltz."""
    words = "composer: A. Example\nlicence:"
    for name, stages in (("content", "[bass line, as written]"), ("anna", "[outer voices, bass line, as written]")):
        folder = write_content(tmp_path / name, waltz=musicxml()) / "waltz"
        text = (folder / "piece.md").read_text().replace("licence:", f"stages: {stages}\n{words}")
        (folder / "piece.md").write_text(text)
    libraries = "libraries:\n  - {name: anna, place: ../anna, credit: Anna}\n"
    (tmp_path / "content" / "studio.yaml").write_text(f"title: Mine\nrights: optional\n{libraries}")
    return tmp_path / "content"


def build(content: Path) -> Outcome:
    return build_site(content, content.parent / "site", Store(content.parent / "cache"), 0, lambda progress: None)


def test_both_ladders_stand_on_one_page_which_each_piece_leads_to(content: Path) -> None:
    outcome = build(content)
    assert outcome.built == ("anna--waltz", "waltz"), outcome.findings
    site = content.parent / "site"
    page = (site / "works" / "a-example-waltz" / "index.html").read_text()
    assert page.index("../../pieces/waltz/index.html") < page.index("../../pieces/anna--waltz/index.html")
    assert "From the library of Anna" in page
    assert page.count("as-written/index.html") == 2
    assert page.count("No such stage here.") == 1
    for slug in outcome.built:
        assert 'href="../../works/a-example-waltz/index.html"' in (site / "pieces" / slug / "index.html").read_text()
        for part in page.split(f'src="../../pieces/{slug}/')[1:]:
            assert (site / "pieces" / slug / part.split("#")[0]).is_file()


def test_a_ladder_that_is_not_published_stands_beside_none(content: Path) -> None:
    (content / "studio.yaml").write_text((content / "studio.yaml").read_text().replace("rights: optional\n", ""))
    assert build(content).built == ("waltz",), "Anna's does not say whose it is"
    assert not (content.parent / "site" / "works").exists()


def test_a_ladder_that_is_alone_again_leads_nowhere(content: Path) -> None:
    build(content)
    (content / "studio.yaml").write_text("title: Mine\nrights: optional\n")
    outcome = build(content)
    site = content.parent / "site"
    assert outcome.built == ("waltz",)
    assert not (site / "works").exists()
    assert "works/" not in (site / "pieces" / "waltz" / "index.html").read_text()
