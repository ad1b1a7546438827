"""Pages from data: what they hold, what they must not hold, and that every link of a page leads to a file."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from pathlib import PurePosixPath

import pytest
import segno
from markupsafe import escape

from sitegen.errors import ContentError
from sitegen.publishing import (
    CONTENT_SECURITY_POLICY,
    PublishedLibrary,
    card_of,
    find_theme,
    render_gallery,
    render_lists,
    render_piece,
    site_assets,
)
from sitegen.publishing.heard import PassageInfo
from sitegen.publishing.nouns import PlanDay, PlanTask
from sitegen.publishing.textures import bars_by_texture
from tests.publishing.pieces import three_bars

STUDIO = PublishedLibrary("A <Studio>", address="https://example.org/a")


@pytest.fixture(scope="module")
def site() -> dict[str, bytes]:
    piece = three_bars('<p><a href="bars:1">hear</a></p>')
    return (
        render_gallery(STUDIO, [card_of(piece)]) | render_piece(STUDIO, piece) | site_assets(find_theme(STUDIO.theme))
    )


@pytest.fixture(scope="module")
def pages(site: dict[str, bytes]) -> dict[str, str]:
    return {path: content.decode() for path, content in site.items() if path.endswith(".html")}


def test_each_stage_has_a_page_that_opens_there(pages: dict[str, str]) -> None:
    for slug in ("bass-line", "as-written"):
        page = pages[f"pieces/three-bars/stages/{slug}/index.html"]
        assert f'data-stage="{slug}">' in page
        assert 'src="phone-1.svg#' in page
    assert 'data-stage="bass-line">' in pages["pieces/three-bars/index.html"]
    assert 'src="stages/bass-line/phone-1.svg#' in pages["pieces/three-bars/index.html"]


def test_a_page_shows_each_system_of_a_sheet_in_its_own_room(pages: dict[str, str]) -> None:
    page = pages["pieces/three-bars/stages/bass-line/index.html"]
    shown = re.findall(r'<svg viewBox="([^"]*)"[^>]*></svg><img src="([^"]*phone[^"]*)"', page)
    assert shown == [
        ("0 0 860 200", "phone-1.svg#svgView(viewBox(0,0,8600,2000))"),
        ("0 0 860 180", "phone-1.svg#svgView(viewBox(0,2400,8600,1805))"),
    ]


def test_larger_notes_are_laid_out_by_scripts(pages: dict[str, str]) -> None:
    """Without them nobody can wish for larger notes: the page has room for them, and nothing in it."""
    page = pages["pieces/three-bars/stages/bass-line/index.html"]
    assert "large-1.svg" not in page


def test_what_all_pages_share_is_one_script(site: dict[str, bytes], pages: dict[str, str]) -> None:
    (tools,) = [path for path in site if path.startswith("assets/tools-")]
    text = site[tools].decode()
    assert 'id=\\"practice\\"' in text
    for path, page in pages.items():
        assert f'<script defer src="{"../" * path.count("/")}{tools}"></script>' in page
        assert "<dialog" not in page


def test_texts_are_escaped(pages: dict[str, str]) -> None:
    page = pages["pieces/three-bars/index.html"]
    assert "Three &lt;Bars&gt;" in page
    assert "Listen &lt;well&gt;." in page
    assert "<Studio>" not in "".join(pages.values())


def test_the_page_says_which_bars_are_of_which_texture(pages: dict[str, str]) -> None:
    listed = re.search(r'<ul id="passages"[^>]*>(.*?)</ul>', pages["pieces/three-bars/index.html"], re.S)
    assert listed is not None
    assert [re.sub(r"<[^>]+>", "", row).strip() for row in re.findall(r"<li>(.*?)</li>", listed[1])] == [
        "Upbeat to bar 1: melody over &lt;chords&gt;", "Bar 2: broken chords in both hands",
    ]  # fmt: skip
    assert '#bars-0-1" data-first="0" data-last="1"' in listed[1]


def test_a_texture_that_comes_back_is_named_once_with_all_its_bars() -> None:
    blocks, broken = "melody over chords", "broken chords in both hands"
    passages = [(0, 0, blocks), (1, 1, broken), (2, 2, blocks)]
    piece = replace(three_bars(), passages=tuple(PassageInfo(*passage) for passage in passages))
    page = render_piece(STUDIO, piece)["pieces/three-bars/index.html"].decode()
    listed = re.search(r'<ul id="passages"[^>]*>(.*?)</ul>', page, re.S)
    assert listed is not None
    assert [re.sub(r"<[^>]+>", "", row) for row in re.findall(r"<li>(.*?)</li>", listed[1])] == [
        f"Upbeat · Bar 2: {blocks}", f"Bar 1: {broken}",
    ]  # fmt: skip


def test_neighbours_of_one_texture_are_one_stretch() -> None:
    passages = [PassageInfo(0, 7, "runs"), PassageInfo(8, 11, "runs"), PassageInfo(16, 19, "runs")]
    assert bars_by_texture(passages) == {"runs": [(0, 11), (16, 19)]}


def _without_own_address(page: str) -> str:
    """The page without the link that says where it stands in the world, which nothing follows."""
    return re.sub(r'<link rel="canonical" href="https://example.org/a/[^"]*">', "", page)


def test_nothing_is_written_into_a_page_that_a_strict_policy_refuses(pages: dict[str, str]) -> None:
    for path, page in pages.items():
        assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:", page), path
        for script in re.findall(r"<script([^>]*)>", page):
            assert "src=" in script or re.search(r'type="application/(ld\+)?json"', script), path
        assert not re.search(r'(?:src|href)="https?://', _without_own_address(page)), path
        policy = f'http-equiv="Content-Security-Policy" content="{escape(CONTENT_SECURITY_POLICY)}"'
        assert 0 < page.find(policy) < page.find("<script"), path


def test_the_policy_lets_in_nothing_but_the_site_itself() -> None:
    rules = dict(rule.split(" ", 1) for rule in CONTENT_SECURITY_POLICY.split("; "))
    assert rules.pop("default-src") == "'none'"
    assert set(rules.values()) == {"'self'", "'none'"}
    assert rules["script-src"] == rules["style-src"] == "'self'"
    assert rules["base-uri"] == rules["form-action"] == "'none'"


def test_every_link_of_a_page_leads_to_a_file(site: dict[str, bytes], pages: dict[str, str]) -> None:
    drawn = re.compile(r"\.(svg|mid|musicxml)$|timing\.json$")
    for path, page in pages.items():
        for link in re.findall(r'(?:href|src)="([^"#]+)', _without_own_address(page)):
            parts: list[str] = []
            for part in (PurePosixPath(path).parent / link).parts:
                if part == "..":
                    parts.pop()
                else:
                    parts.append(part)
            target = "/".join(parts)
            assert target in site or (target.startswith("pieces/") and drawn.search(target)), f"{path}: {link}"


def test_the_words_of_care_stand_once_on_a_piece(pages: dict[str, str]) -> None:
    page = pages["pieces/three-bars/index.html"]
    assert page.count("Never force a stretch") == 1
    assert "Left hand: the widest stretch is an octave." in page
    assert "bar 1: a ninth, rolled" in page


def test_piece_data_gives_places_as_musicians_count_them(site: dict[str, bytes]) -> None:
    notes = json.loads(site["pieces/three-bars/notes.json"])
    # The upbeat of 3/4 is its third beat.
    assert notes["n1"] == [0, "0", "F4", "3", "chord tone", ""]
    stage = json.loads(site["pieces/three-bars/stages/bass-line/timing.json"])
    assert stage["cards"] == [["b1", 1, "0", "3", "Bb2", 0, 1, ["n2", "n3"]]]
    assert (stage["pitches"], stage["beats"]) == ({"Bb2": ["B♭2", 46]}, ["1"])
    piece = json.loads(site["pieces/three-bars/piece.json"])
    assert piece["stages"][0]["layouts"]["wide"] == [
        ["stages/bass-line/wide-1.svg", 860, [[0, 0, 0, 200], [1, 2, 240, 180.5]]]
    ]
    assert piece["stages"][0]["described"] == [
        "Bass line. B♭ major, 3/4, 3 bars, 1 note.",
        "Upbeat: no harmony named; nothing new is struck.",
        "Bar 1: B♭; begins with B♭2; 1 note.",
        "Bar 2: B♭; nothing new is struck.",
    ]


def test_a_code_opens_the_stage_only_where_the_address_is_known() -> None:
    assert b'class="qr"' in render_piece(STUDIO, three_bars())["pieces/three-bars/print.html"]
    assert b'class="qr"' not in render_piece(PublishedLibrary("S"), three_bars())["pieces/three-bars/print.html"]


def test_the_code_is_that_of_the_page_of_its_stage(site: dict[str, bytes]) -> None:
    page = site["pieces/three-bars/print.html"].decode()
    opens = f"{STUDIO.address}/pieces/three-bars/stages/bass-line/"
    drawn = re.search(r'class="qr"[^>]*>\s*<path[^>]*d="([^"]+)"', page)
    assert drawn is not None
    code = segno.make(opens, error="m", micro=False)
    wanted = io.BytesIO()
    code.save(wanted, kind="svg", border=4)
    assert drawn[1] in wanted.getvalue().decode()
    assert "pieces/three-bars/stages/bass-line/index.html" in site


def test_bars_that_the_plan_sets_have_a_code_once_under_their_stage() -> None:
    task = PlanTask("Again", "bass-line", ("1", "2"), 1, 2)
    piece = replace(three_bars(), plan=(PlanDay("Day 1", (task,)), PlanDay("Day 2", (task,))))
    page = render_piece(STUDIO, piece)["pieces/three-bars/print.html"].decode()
    assert page.count("<figcaption>Bars 1 to 2</figcaption>") == 1
    opens = f"{STUDIO.address}/pieces/three-bars/stages/bass-line/#bars-1-2"
    wanted = io.BytesIO()
    segno.make(opens, error="m", micro=False).save(wanted, kind="svg", border=4)
    drawn = re.findall(r'class="qr"[^>]*>\s*<path[^>]*d="([^"]+)"', page)
    assert sum(code in wanted.getvalue().decode() for code in drawn) == 1
    assert b"figcaption" not in render_piece(PublishedLibrary("S"), piece)["pieces/three-bars/print.html"]


def test_german_names_keys_and_pitches_its_own_way() -> None:
    site = render_piece(PublishedLibrary("S", language="de"), three_bars())
    page = site["pieces/three-bars/index.html"].decode()
    assert "B-Dur" in page
    assert 'lang="de"' in page
    assert json.loads(site["pieces/three-bars/stages/bass-line/timing.json"])["pitches"] == {"Bb2": ["B2", 46]}


def test_an_unknown_theme_is_named_with_those_there_are() -> None:
    with pytest.raises(ContentError, match=r"Choose one of: base, .*studio"):
        render_piece(PublishedLibrary("S", theme="marble"), three_bars())


def test_rendering_twice_gives_the_same_bytes(site: dict[str, bytes]) -> None:
    piece = three_bars('<p><a href="bars:1">hear</a></p>')
    again = render_piece(STUDIO, piece)
    assert {path: site[path] for path in again} == again


def test_sounds_paper_downloads_and_unopened_files_are_not_kept_by_default() -> None:
    files = {"index.html": "a", "sounds/A0.mp3": "b", "worker.js": "c", "analysis.json": "d", "print.html": "e"}
    files |= {f"stages/bass-line/stage.{kind}": "f" for kind in ("mid", "musicxml")}
    listed = json.loads(render_lists(files)["offline.json"])
    assert listed == {"files": {"index.html": "a"}}
