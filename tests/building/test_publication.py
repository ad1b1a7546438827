"""A site is published whole or not at all, and one broken piece takes nothing with it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sitegen.building import swapping, whole
from sitegen.building.steps import pages
from sitegen.errors import ContentError
from tests.building.conftest import Build
from tests.building.studio import musicxml, tree_of, write_content, write_piece
from tests.score import files


def _slugs(site: Path) -> list[str]:
    return [piece["slug"] for piece in json.loads((site / "site.json").read_text(encoding="utf-8"))["pieces"]]


def test_building_twice_gives_the_same_bytes(tmp_path: Path, build: Build) -> None:
    right = "C5h. D5q~ | D5q E5q3 F5 G5 F#5q | F5g E5h C4+E4+G4h!arp"
    write_content(tmp_path / "content", march=musicxml(right, "C3w C3+G3w C3w"))
    build(site=tmp_path / "one", cache="cache of one")
    build(site=tmp_path / "two", cache="cache of two")
    one, two = tree_of(tmp_path / "one"), tree_of(tmp_path / "two")
    assert [path for path in one if one[path] != two.get(path)] == []
    assert one.keys() == two.keys()


def test_a_cadenza_whose_tuplet_has_no_sign_lasts_its_bar_in_every_stage(tmp_path: Path, build: Build) -> None:
    run = "".join(files.note(pitch, 8, "eighth") for pitch in ("C5", "D5", "E5", "F5", "G5", "A5"))
    score = files.musicxml(run, files.note("G5", 48, "whole"), files.note("C5", 48, "whole"))
    write_content(tmp_path / "content", cadenza=score)
    build()
    for timing in (tmp_path / "site" / "pieces" / "cadenza" / "stages").glob("*/timing.json"):
        bars = json.loads(timing.read_text(encoding="utf-8"))["bars"]
        lasting = [bar["off"] - bar["on"] for bar in bars]
        assert lasting == pytest.approx([lasting[1]] * 3, abs=0.01), timing.parent.name


def test_nothing_is_left_beside_the_site(tmp_path: Path, build: Build) -> None:
    write_content(tmp_path / "content", march=musicxml())
    build()
    build()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["cache", "content", "site"]


def test_build_that_dies_while_writing_leaves_the_old_site(
    tmp_path: Path, build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    before = tree_of(tmp_path / "site")
    write_piece(content, "waltz", musicxml("E5h.", "C3h.", "3/4"))

    def full_disk(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(whole, "_put", full_disk)
    with pytest.raises(OSError, match="No space"):
        build()
    assert tree_of(tmp_path / "site") == before
    assert not swapping.staging_of(tmp_path / "site").exists()


def test_process_killed_between_the_two_moves_is_put_right_by_the_next_build(tmp_path: Path, build: Build) -> None:
    write_content(tmp_path / "content", march=musicxml())
    build()
    site = tmp_path / "site"
    before = tree_of(site)
    swapping.begin(site)
    site.rename(tmp_path / ".site.previous")
    swapping.begin(site)
    assert tree_of(site) == before
    build()
    assert tree_of(site) == before
    assert not (tmp_path / ".site.previous").exists()


def test_move_that_fails_puts_the_old_site_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    site = tmp_path / "site"
    site.mkdir()
    (site / "site.json").write_text("{}")
    staging = swapping.begin(site)
    rename = Path.rename

    def refused(self: Path, target: Path) -> Path:
        if self == staging:
            raise OSError(13, "Permission denied")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refused)
    with pytest.raises(OSError, match="Permission denied"):
        swapping.swap(site)
    assert (site / "site.json").read_text() == "{}"


def test_files_that_version_control_keeps_stay(tmp_path: Path, build: Build) -> None:
    write_content(tmp_path / "content", march=musicxml())
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / ".gitkeep").write_text("")
    build()
    build()
    assert (tmp_path / "site" / ".gitkeep").is_file()


def test_folder_with_other_things_in_it_is_refused(tmp_path: Path, build: Build) -> None:
    write_content(tmp_path / "content", march=musicxml())
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "thesis.txt").write_text("years of work")
    with pytest.raises(ContentError, match=r"site: holds 'thesis\.txt' and is no site of ours\. Name an empty folder"):
        build()
    assert (tmp_path / "site" / "thesis.txt").read_text() == "years of work"


def test_site_cannot_be_a_file_nor_the_root_nor_lie_in_the_content(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    (tmp_path / "file").write_text("")
    for place, what in [(tmp_path / "file", "is not a folder"), (Path("/"), "cannot be the place of a site"),
                        (content, "inside the content"), (content / "out", "inside the content")]:  # fmt: skip
        with pytest.raises(ContentError, match=what):
            build(site=place)
    assert not (content / "out").exists()


def test_broken_piece_keeps_its_last_good_pages_and_the_rest_is_built(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    build()
    site = tmp_path / "site"
    good = tree_of(site / "pieces" / "waltz")
    (content / "waltz" / "score.musicxml").write_text("<score-partwise><part", encoding="utf-8")
    write_piece(content, "march", musicxml("G5w", "C3w"))
    outcome = build()
    assert (outcome.built, outcome.kept) == (("march",), ("waltz",))
    assert [str(f).startswith(str(content / "waltz" / "score.musicxml")) for f in outcome.errors] == [True]
    assert _slugs(site) == ["march", "waltz"]
    assert tree_of(site / "pieces" / "waltz") == good
    # and again, from a site whose pages were kept already
    build()
    assert tree_of(site / "pieces" / "waltz") == good


def test_fault_in_front_matter_keeps_the_pages_too(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    good = tree_of(tmp_path / "site" / "pieces")
    (content / "march" / "piece.md").write_text("---\ntitle: March\n---\n", encoding="utf-8")
    outcome = build()
    assert (outcome.built, outcome.kept) == ((), ("march",))
    assert tree_of(tmp_path / "site" / "pieces") == good


def test_piece_that_was_taken_out_leaves_the_site(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    build()
    for file in (content / "waltz").iterdir():
        file.unlink()
    (content / "waltz").rmdir()
    assert build().errors == ()
    assert _slugs(tmp_path / "site") == ["march"]
    assert not (tmp_path / "site" / "pieces" / "waltz").exists()


def test_damaged_listing_of_the_old_site_does_not_stop_a_build(tmp_path: Path, build: Build) -> None:
    write_content(tmp_path / "content", march=musicxml())
    build()
    for damage in ("", "[]", '{"pieces": [{}]}', "\x00"):
        (tmp_path / "site" / "site.json").write_text(damage)
        assert build().errors == ()
        assert _slugs(tmp_path / "site") == ["march"]


def test_defect_in_one_piece_does_not_cost_the_others(
    tmp_path: Path, build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    render = pages.render_piece

    def failing(library: object, page: object) -> object:
        if getattr(page, "slug", "") == "waltz":
            raise ZeroDivisionError("a\nb")
        return render(library, page)  # type: ignore[arg-type]

    monkeypatch.setattr(pages, "render_piece", failing)
    outcome = build()
    assert outcome.built == ("march",)
    assert "ZeroDivisionError: a b" in str(outcome.errors[0])
    assert "\n" not in str(outcome.errors[0])


def test_pages_of_another_version_of_the_program_are_not_kept(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    (tmp_path / "site" / "pieces" / "march" / "card.json").write_text('{"title": "March"}')
    (content / "march" / "score.musicxml").write_text("<score-partwise>", encoding="utf-8")
    outcome = build()
    assert (outcome.built, outcome.kept, len(outcome.errors)) == ((), (), 1)
    assert _slugs(tmp_path / "site") == []
