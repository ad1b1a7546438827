"""A site is published whole or not at all, and one broken piece takes nothing with it."""

from __future__ import annotations

import json
import re
import shutil
from datetime import date
from html import unescape
from pathlib import Path
from typing import Literal

import pytest
from jsonschema import Draft202012Validator

from sitegen.building import whole
from sitegen.building.contract import load_schema
from sitegen.building.digests import digest_of
from sitegen.building.publication import output
from sitegen.building.steps import pages
from sitegen.errors import ContentError, FaultsError, each_fault
from sitegen.publishing import cards
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

    monkeypatch.setattr(output, "stage", full_disk)
    with pytest.raises(OSError, match="No space"):
        build()
    assert tree_of(tmp_path / "site") == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["cache", "content", "site"]


def test_build_of_what_has_not_changed_writes_nothing(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    build()
    site = tmp_path / "site"
    before = {place: (place.stat().st_ino, place.stat().st_mtime_ns) for place in site.rglob("*")}
    build()
    assert {place: (place.stat().st_ino, place.stat().st_mtime_ns) for place in site.rglob("*")} == before
    write_piece(content, "march", musicxml(), "Listen to the tenor.")
    build()
    drawings = [place for place in before if place.suffix == ".svg"]
    assert drawings
    assert [place for place in drawings if (place.stat().st_ino, place.stat().st_mtime_ns) != before[place]] == []


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


def test_site_cannot_be_a_file_nor_the_root_nor_lie_in_the_content_nor_around_it(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    (tmp_path / "file").write_text("")
    before = tree_of(tmp_path)
    for place, what in [(tmp_path / "file", "is not a folder"), (Path("/"), "cannot be the place of a site"),
                        (content, "inside the content"), (content / "out", "inside the content"),
                        (tmp_path, "holds the content")]:  # fmt: skip
        with pytest.raises(ContentError, match=what):
            build(site=place)
    assert tree_of(tmp_path) == before


NOTE = re.compile(r'<p class="outdated" role="note">([^<]*)</p>\n')


def _marked(piece: Path) -> tuple[dict[str, bytes], set[str]]:
    """The files of a piece as they were before they were marked, without the list of what to keep; and the notes."""
    files = {path: data for path, data in tree_of(piece).items() if path != "offline.json"}
    pages = {path: data.decode() for path, data in files.items() if path.endswith(".html")}
    notes = [note for page in pages.values() for note in NOTE.findall(page)]
    assert len(notes) in (0, len(pages)), "every page says so, and once"
    return files | {path: NOTE.sub("", page).encode() for path, page in pages.items()}, set(notes)


def test_broken_piece_keeps_its_last_good_pages_and_the_rest_is_built(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    build()
    site = tmp_path / "site"
    good = _marked(site / "pieces" / "waltz")
    assert good[1] == set()
    (content / "waltz" / "score.musicxml").write_text("<score-partwise><part", encoding="utf-8")
    write_piece(content, "march", musicxml("G5w", "C3w"))
    outcome = build()
    assert (outcome.built, outcome.kept) == (("march",), ("waltz",))
    assert [str(f).startswith(str(content / "waltz" / "score.musicxml")) for f in outcome.errors] == [True]
    assert _slugs(site) == ["march", "waltz"]
    assert _marked(site / "pieces" / "waltz")[0] == good[0]
    assert _marked(site / "pieces" / "march")[1] == set()
    # and when it is mended
    write_piece(content, "waltz", musicxml("E5h.", "C3h.", "3/4"))
    assert build().kept == ()
    assert _marked(site / "pieces" / "waltz") == good


def test_last_good_pages_say_since_when_and_why(tmp_path: Path, build: Build, monkeypatch: pytest.MonkeyPatch) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    build()
    site = tmp_path / "site"
    good = _marked(site / "pieces" / "waltz")[0]
    front = (content / "waltz" / "piece.md").read_text()
    (content / "waltz" / "piece.md").write_text(front.replace("licence", "tempo: a <b>gallop</b>\nlicence"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    assert build().kept == ("waltz",)
    since, why = _outdated(site, "waltz")
    assert since == "2023-11-14"
    assert why.startswith("waltz/piece.md:4: field 'tempo'")
    assert str(tmp_path) not in why, "where her content lies is nobody's business"
    ((note,),) = [_marked(site / "pieces" / "waltz")[1]]
    assert "2023-11-14" in note
    assert unescape(note).endswith(why)
    assert "outdated" not in json.loads((site / "site.json").read_text())["pieces"][0], "the march is not meant"
    kept = json.loads((site / "pieces" / "waltz" / "offline.json").read_text())["files"]
    page = (site / "pieces" / "waltz" / "index.html").read_bytes()
    assert kept["index.html"] == digest_of(page), "a browser takes the page only with its digest"
    # another day (of no calendar) and another fault: the day is that of the first
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "9" * 30)
    (content / "waltz" / "piece.md").write_text(front)
    (content / "waltz" / "score.musicxml").write_text("<score-partwise><part", encoding="utf-8")
    build()
    assert _outdated(site, "waltz")[0] == "2023-11-14"
    assert _outdated(site, "waltz")[1].startswith("waltz/score.musicxml:")
    assert _marked(site / "pieces" / "waltz")[0] == good
    assert load_schema_faults("site", site / "site.json") == []


def test_last_good_pages_keep_their_scripts_where_language_and_words_are_others_now(
    tmp_path: Path, build: Build
) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    build()
    (content / "waltz" / "score.musicxml").write_text("<score-partwise><part", encoding="utf-8")
    with (content / "studio.yaml").open("a") as studio:
        studio.write("language: de\n")
    assert build().kept == ("waltz",)
    site = tmp_path / "site"
    tools = {slug: _assets_of(site / "pieces" / slug / "index.html") for slug in ("march", "waltz")}
    assert tools["march"] != tools["waltz"]
    for asset in tools["march"] | tools["waltz"]:
        assert (site / asset).is_file(), asset
    # and they go with the pages
    write_piece(content, "waltz", musicxml("E5h.", "C3h.", "3/4"))
    build()
    assert not any((site / asset).is_file() for asset in tools["waltz"] - tools["march"])


def _assets_of(page: Path) -> set[str]:
    return set(re.findall(r'(?:src|href)="[./]*(assets/[^"]+)"', page.read_text(encoding="utf-8")))


def test_without_a_given_date_the_pages_are_outdated_since_today(
    tmp_path: Path, build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    (content / "march" / "score.musicxml").write_text("")
    days = {date.today().isoformat()}
    build()
    days.add(date.today().isoformat())
    assert _outdated(tmp_path / "site", "march")[0] in days


def _outdated(site: Path, slug: str) -> tuple[str, str]:
    pieces = json.loads((site / "site.json").read_text(encoding="utf-8"))["pieces"]
    (found,) = [piece["outdated"] for piece in pieces if piece["slug"] == slug]
    return found["since"], found["why"]


def load_schema_faults(name: Literal["site"], file: Path) -> list[str]:
    validator = Draft202012Validator(load_schema(name))
    return [error.message for error in validator.iter_errors(json.loads(file.read_text(encoding="utf-8")))]


def test_fault_in_front_matter_keeps_the_pages_too(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    good = _marked(tmp_path / "site" / "pieces")[0]
    (content / "march" / "piece.md").write_text("---\ntitle: March\n---\n", encoding="utf-8")
    outcome = build()
    assert (outcome.built, outcome.kept) == ((), ("march",))
    after, notes = _marked(tmp_path / "site" / "pieces" / "march")
    assert {f"march/{path}": data for path, data in after.items()} == {
        path: data for path, data in good.items() if not path.endswith("offline.json")
    }
    assert len(notes) == 1


def test_piece_that_was_taken_out_leaves_the_site(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    build()
    for file in (content / "waltz").iterdir():
        file.unlink()
    (content / "waltz").rmdir()
    assert build().errors == ()
    assert _slugs(tmp_path / "site") == ["march"]
    assert not (tmp_path / "site" / "pieces" / "waltz").exists()


def test_more_than_half_of_the_pieces_go_only_when_that_is_meant(tmp_path: Path, build: Build) -> None:
    names = ("march", "waltz", "lied", "etude")
    content = write_content(tmp_path / "content", **dict.fromkeys(names, musicxml("E5h.", "C3h.", "3/4")))
    build()
    before = tree_of(tmp_path / "site")
    for name in names[:3]:
        shutil.rmtree(content / name)
    with pytest.raises(ContentError, match=r"lacks 3 of the 4 pieces of the site, such as 'lied'.*--allow-removal"):
        build()
    assert tree_of(tmp_path / "site") == before
    assert build(allow_removal=True).built == ("etude",)
    assert _slugs(tmp_path / "site") == ["etude"]


def test_empty_content_leaves_the_site(tmp_path: Path, build: Build) -> None:
    write_content(tmp_path / "content", march=musicxml())
    build()
    before = tree_of(tmp_path / "site")
    with pytest.raises(ContentError, match="lacks 1 of the 1 pieces"):
        build(content=write_content(tmp_path / "empty"))
    with pytest.raises(ContentError, match="there is no such content folder"):
        build(content=tmp_path / "none")
    assert tree_of(tmp_path / "site") == before
    (tmp_path / "site" / "site.json").unlink()
    del before["site.json"]
    with pytest.raises(ContentError, match="lacks 1 of the 1 pieces"):
        build(content=tmp_path / "empty")
    assert tree_of(tmp_path / "site") == before


@pytest.mark.parametrize("typo", ["titel: The small studio\n", "title: S\ntheme: studoi\n", "title: [", None])
def test_slip_in_studio_yaml_leaves_the_site(tmp_path: Path, build: Build, typo: str | None) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    before = tree_of(tmp_path / "site")
    if typo is None:
        (content / "studio.yaml").unlink()
    else:
        (content / "studio.yaml").write_text(typo)
    with pytest.raises(ContentError, match=r"studio\.yaml.*the site is left as it is"):
        build()
    assert tree_of(tmp_path / "site") == before


@pytest.mark.parametrize("file", ["site.json", "index.html", "pieces/march/card.json"])
def test_file_of_the_site_that_somebody_changed_is_named(tmp_path: Path, build: Build, file: str) -> None:
    write_content(tmp_path / "content", march=musicxml())
    build()
    good = tree_of(tmp_path / "site")
    for damage in ("", "[]", '{"pieces": [{}]}', "\x00"):
        (tmp_path / "site" / file).write_text(damage)
        with pytest.raises(ContentError, match=f"{file}: stands where a page must go"):
            build()
        assert (tmp_path / "site" / file).read_text() == damage
    (tmp_path / "site" / file).unlink()
    build()
    assert tree_of(tmp_path / "site") == good


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


def test_pages_of_another_version_of_the_program_are_not_kept(
    tmp_path: Path, build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    with monkeypatch.context() as older:
        older.setattr(cards, "asdict", lambda card: {"title": "March"})
        build()
    (content / "march" / "score.musicxml").write_text("<score-partwise>", encoding="utf-8")
    before = tree_of(tmp_path / "site")
    with pytest.raises(FaultsError) as ended:
        build()
    told = [str(fault) for fault in each_fault(ended.value)]
    assert "march/score.musicxml" in told[0]
    assert told[1:] == [
        "no pages are left of 1 of the 1 pieces of the site, such as 'march'. Mend what is at fault, or give "
        "--allow-removal if they are to go; the site is left as it is."
    ]
    assert tree_of(tmp_path / "site") == before
    outcome = build(allow_removal=True)
    assert (outcome.built, outcome.kept, len(outcome.errors)) == ((), (), 1)
    assert _slugs(tmp_path / "site") == []


def test_last_good_pages_of_which_one_is_lost_are_mended_from_the_store(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    lost = tmp_path / "site" / "pieces" / "march" / "analysis.json"
    before = lost.read_bytes()
    lost.unlink()
    (content / "march" / "score.musicxml").write_text("<score-partwise>", encoding="utf-8")
    assert build().kept == ("march",)
    assert lost.read_bytes() == before


def test_last_good_pages_of_which_one_is_lost_for_good_are_not_kept(tmp_path: Path, build: Build) -> None:
    """Every address that ``site.json`` names must lead somewhere."""
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    (tmp_path / "site" / "pieces" / "march" / "analysis.json").unlink()
    (content / "march" / "score.musicxml").write_text("<score-partwise>", encoding="utf-8")
    assert build(cache="another", allow_removal=True).kept == ()
    assert not (tmp_path / "site" / "pieces").exists()


def test_what_is_at_fault_and_has_not_changed_is_told_again_without_looking(
    tmp_path: Path, build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    build()
    (content / "waltz" / "score.musicxml").write_text("<score-partwise><part", encoding="utf-8")
    first = build()
    before = tree_of(tmp_path / "site")

    def never(*_: object, **__: object) -> None:
        pytest.fail("looked at again")

    monkeypatch.setattr(whole, "make_piece", never)
    assert build() == first
    assert (first.kept, len(first.errors)) == (("waltz",), 1)
    # nor where another piece is gone
    shutil.rmtree(content / "march")
    after = build()
    assert (after.built, after.kept, after.errors) == ((), ("waltz",), first.errors)
    pages = {path for path in before if path.startswith("pieces/waltz/")}
    assert {path: before[path] for path in pages} == {path: tree_of(tmp_path / "site")[path] for path in pages}


def test_what_broke_down_is_tried_again_though_nothing_changed(
    tmp_path: Path, build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_content(tmp_path / "content", march=musicxml())

    def breaks_down(*_: object, **__: object) -> None:
        raise RuntimeError("broke down")

    with monkeypatch.context() as patched:
        patched.setattr(pages, "lay_out", breaks_down)
        assert build().built == ()
    assert build().built == ("march",)
