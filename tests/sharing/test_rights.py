"""Whose a piece is and what its licence allows: what is known by SPDX, what is asked for, what a page offers."""

from __future__ import annotations

from pathlib import Path

import pytest

from sitegen.building.site import Outcome, build_site
from sitegen.building.store import Store
from sitegen.library.licences import LICENCES, is_known, licence_of, meant_by
from tests.building.studio import musicxml, write_content

FULL = "composer: A. Example\ncomposer_died: 1849\nsource: First edition of 1840\nencoder: B. Example\n"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    return write_content(tmp_path / "content", waltz=musicxml())


def write(content: Path, licence: str = "CC0-1.0", more: str = "", studio: str = "") -> Outcome:
    """Build the studio with its waltz under this licence, with these fields more."""
    (content / "studio.yaml").write_text(f"title: Mine\n{studio}")
    file = content / "waltz" / "piece.md"
    file.write_text(f"---\ntitle: Waltz\nscore: score.musicxml\nlicence: {licence}\n{more}---\n\nListen.\n")
    return build_site(content, content.parent / "site", Store(content.parent / "cache"), 0, lambda progress: None)


def page(content: Path) -> str:
    return (content.parent / "site" / "pieces" / "waltz" / "index.html").read_text()


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("CC BY 4.0", "CC-BY-4.0"),
        ("cc-by-sa-3.0", "CC-BY-SA-3.0"),
        ("Creative Commons BY-NC-SA", "CC-BY-NC-SA-4.0"),
        ("CC0", "CC0-1.0"),
        ("Public Domain", "CC-PDM-1.0"),
        ("gemeinfrei", "CC-PDM-1.0"),
        ("Apache 2.0", "Apache-2.0"),
    ],
)
def test_what_people_write_is_answered_with_its_identifier(said: str, meant: str) -> None:
    assert not is_known(said)
    assert meant_by(said)[0] == meant


def test_several_licences_hold_together_or_by_choice() -> None:
    assert is_known("CC-BY-4.0 AND CC0-1.0")
    assert is_known("LicenseRef-by-letter")
    assert not is_known("CC-BY-4.0 AND mine")
    both, either = licence_of("CC-BY-ND-4.0 AND CC0-1.0"), licence_of("CC-BY-ND-4.0 OR CC0-1.0")
    assert both is not None
    assert either is not None
    assert (both.adapted, either.adapted) == (False, True)
    assert licence_of("CC0-1.0 AND LicenseRef-x") is None


def test_a_licence_without_adaptations_is_known_by_its_terms() -> None:
    assert {one.id for one in LICENCES.values() if not one.adapted} == {
        f"CC-BY-{terms}-{version}" for terms in ("ND", "NC-ND") for version in ("2.0", "2.5", "3.0", "4.0")
    }


def test_another_word_for_a_licence_is_a_hint_and_no_fault(content: Path) -> None:
    outcome = write(content, "CC BY 4.0")
    assert outcome.built == ("waltz",)
    assert "field 'licence' is no SPDX identifier: 'CC BY 4.0'. Perhaps CC-BY-4.0." in str(outcome.findings[0])


def test_a_piece_that_does_not_say_whose_it_is_waits_where_rights_are_required(content: Path) -> None:
    outcome = write(content, studio="rights: required\n", more="composer: A. Example\n")
    assert outcome.built == ()
    assert "is not published without composer_died, source, encoder" in str(outcome.errors[0])
    outcome = write(content, "mine", FULL, studio="rights: required\n")
    assert "is not published without licence" in str(outcome.errors[0])
    outcome = write(content, more=FULL + "editor: C. Example\n", studio="rights: required\n")
    assert "is not published without editor_died" in str(outcome.errors[0])
    outcome = write(content, more=FULL, studio="rights: required\n")
    assert (outcome.built, outcome.findings) == (("waltz",), ())


def test_her_own_pieces_are_published_where_nothing_is_said(content: Path) -> None:
    assert write(content).built == ("waltz",)


def test_where_the_site_is_for_everybody_she_says_whose_a_piece_is_or_answers_for_it(content: Path) -> None:
    outcome = write(content, studio="address: https://studio.example/\n")
    assert outcome.built == ()
    assert "'rights: optional' into studio.yaml where you answer for it" in str(outcome.errors[0])
    assert write(content, studio="address: https://studio.example/\nrights: optional\n").built == ("waltz",)
    assert write(content, more=FULL, studio="address: https://studio.example/\n").built == ("waltz",)


def test_pieces_of_others_are_not_unless_she_answers_for_them(content: Path) -> None:
    write_content(content.parent / "anna", march=musicxml())
    libraries = "libraries:\n  - {name: anna, place: ../anna}\n"
    assert write(content, studio=libraries).built == ("waltz",)
    assert write(content, studio=libraries + "rights: optional\n").built == ("anna--march", "waltz")


def test_the_page_names_who_made_it_and_how_to_credit_it(content: Path) -> None:
    write(content, "CC-BY-SA-4.0", FULL + "editor: C. Example\neditor_died: living\n")
    for words in (
        "Composer: A. Example (died 1849)",
        "Editor: C. Example<",
        "First edition of 1840",
        "Score file: B. Example",
        '<a href="https://creativecommons.org/licenses/by-sa/4.0/">Licence: CC-BY-SA-4.0</a>',
        "To credit it, write: Waltz, A. Example, C. Example, B. Example, Mine, CC-BY-SA-4.0",
        "Copyright differs from country to country. Check the law where you are",
    ):
        assert words in page(content), words


@pytest.mark.parametrize(
    ("licence", "score", "stages"),
    [("CC0-1.0", True, True), ("CC-BY-ND-4.0", True, False), ("All rights reserved", False, False)],
)
def test_what_a_page_offers_goes_by_the_licence(licence: str, score: bool, stages: bool, content: Path) -> None:
    write(content, licence)
    file = content.parent / "site" / "pieces" / "waltz" / "score" / "score.musicxml"
    assert file.exists() == score
    assert ('<a href="score/score.musicxml" download>The score itself</a>' in page(content)) == score
    for kind in ("midi", "musicxml"):
        assert (f'<li><a id="file-{kind}"' in page(content)) == stages
        assert (f'<li hidden><a id="file-{kind}"' in page(content)) != stages
    if score:
        assert file.read_bytes() == (content / "waltz" / "score.musicxml").read_bytes()


def test_a_score_is_not_offered_as_what_a_browser_opens(content: Path) -> None:
    (content / "waltz" / "score.musicxml").rename(content / "waltz" / "score.xml")
    write(content)
    file = content / "waltz" / "piece.md"
    file.write_text(file.read_text().replace("score.musicxml", "score.xml"))
    build_site(content, content.parent / "site", Store(content.parent / "cache"), 0, lambda progress: None)
    assert (content.parent / "site" / "pieces" / "waltz" / "score" / "score.musicxml").is_file()
