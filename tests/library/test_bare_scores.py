"""Scores that lie in the content folder without a word of their own are pieces too."""

from __future__ import annotations

from pathlib import Path

import pytest

from sitegen.library import load_library, slug_of
from sitegen.library.nouns import Library


def _library(root: Path, *files: str) -> Library:
    (root / "studio.yaml").write_text("title: Small\n")
    for file in files:
        place = root / file
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text("")
    library = load_library(root)
    assert library.faults == ()
    return library


def test_score_beside_studio_yaml_is_a_piece_named_by_its_file(tmp_path: Path) -> None:
    library = _library(tmp_path, "Étude No. 3.mxl", "waltz.KRN", "reel.abc")
    assert [(p.slug, p.bare, p.score.name) for p in library.pieces] == [
        ("etude-no-3", True, "Étude No. 3.mxl"),
        ("reel", True, "reel.abc"),
        ("waltz", True, "waltz.KRN"),
    ]


def test_folder_of_one_score_is_a_piece_named_by_the_folder(tmp_path: Path) -> None:
    assert [p.slug for p in _library(tmp_path, "march/export-final.xml").pieces] == ["march"]


def test_folder_of_several_scores_is_as_many_pieces(tmp_path: Path) -> None:
    assert [p.slug for p in _library(tmp_path, "suite/gigue.mei", "suite/air.mei").pieces] == [
        "suite-air",
        "suite-gigue",
    ]


def test_what_is_no_score_is_left_alone(tmp_path: Path) -> None:
    assert _library(tmp_path, "notes.txt", ".hidden/score.xml", "march/score.xml", "march/cover.png").pieces[
        0
    ].slug == ("march")


def test_slugs_are_small_letters_figures_and_hyphens() -> None:
    assert [slug_of(name) for name in ("Prélude in D♭", "Op. 10/3", "  ", "Größe")] == [
        "prelude-in-d", "op-10-3", "piece", "grosse",
    ]  # fmt: skip


def test_slugs_are_no_names_of_devices() -> None:
    assert [slug_of(name) for name in ("CON", "aux.", "Com1", "console")] == ["con-0", "aux-0", "com1-0", "console"]
    assert slug_of("con-0") == "con-0"


def test_slugs_of_other_scripts_stay_apart() -> None:
    names = ("Прелюдия", "前奏曲", "ワルツ", "왈츠", "Κλειδί", "मार्च")
    assert [slug_of(name) for name in names] == ["prelyudiya", "qianzouqu", "warutsu", "walcheu", "kleidi", "marc"]


def test_slug_of_a_name_of_any_length_fits_a_file_system_and_is_lasting() -> None:
    names = ["щ" * 127, "щ" * 126 + "и", "a" * 250]
    slugs = [slug_of(name) for name in names]
    assert max(len(slug) for slug in slugs) <= 200
    assert len(set(slugs)) == 3
    assert [slug_of(slug) for slug in slugs] == slugs


@pytest.mark.parametrize(
    "names",
    [("e\u0301tude", "\u00e9tude"), ("Etude", "ETUDE"), ("a b", "a_b"), ("\U0001f3b9", "\u266d"), ("CON", "con..."),
     ("trail", "trail..."), ("ß", "ss"), ("\u202eabc", "abc")],
    ids=range(8),
)  # fmt: skip
def test_names_that_come_to_one_address_are_told_and_neither_is_lost_in_silence(
    tmp_path: Path, names: tuple[str, str]
) -> None:
    (tmp_path / "studio.yaml").write_text("title: Small\n")
    for name in names:
        (tmp_path / name).mkdir(exist_ok=True)
        (tmp_path / name / "score.abc").write_text("")
    if len(list(tmp_path.iterdir())) < 3:
        pytest.skip("this file system takes the two for one")
    library = load_library(tmp_path)
    assert len(library.pieces) == 1
    (fault,) = library.faults
    assert "has the same address as" in str(fault)
    assert "Rename one of them" in str(fault)
