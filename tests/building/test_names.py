"""Places and names from the teacher's files to the pages: whatever she calls them."""

from __future__ import annotations

import json
import os
import re
import shutil
from pathlib import Path

import pytest

from sitegen.notation import write_stage
from tests.building.conftest import Build
from tests.building.studio import musicxml, write_content
from tests.notation import score_of
from tests.places.dividing import divided
from tests.writing.reading_back import stage_of

RIGHT = "E5q D5e C5 B4q C5 | G5q F5e E5 D5h | C5q E5e G5 F5q D5 | C5w"
LEFT = "C4e G4 E4 G4 C4 G4 E4 G4 | B3 G4 D4 G4 B3 G4 D4 G4 | C4 G4 E4 G4 B3 G4 D4 G4 | C4e G4 E4 G4 C4h"


def content(folder: Path, *front: str, commentary: str = "", language: str = "en", score: str = "") -> Path:
    root = write_content(folder / "content", tune=score or musicxml(RIGHT, LEFT))
    (root / "studio.yaml").write_text(f"title: S\nlanguage: {language}\n", encoding="utf-8")
    matter = "\n".join(["---", "title: Tune", "score: score.musicxml", "licence: CC0-1.0", *front, "---", commentary])
    (root / "tune" / "piece.md").write_text(matter, encoding="utf-8")
    return root


def page_of(site: Path) -> str:
    return (site / "pieces" / "tune" / "index.html").read_text(encoding="utf-8")


def links_of(site: Path) -> list[str]:
    """The links of the plan and the commentary; a list of the textures stands beside them."""
    links = re.findall(r'class="to-bars" href="([^"]*)"', page_of(site))
    return [link for link in links if link.startswith("stages/")]


@pytest.mark.parametrize("stage", ["Outer voices", "outer-voices", "Zwei Stimmen", "Außenstimmen", "AUSSENSTIMMEN"])
def test_a_german_library_understands_its_own_titles_and_the_english_ones(
    build: Build, tmp_path: Path, stage: str
) -> None:
    root = content(
        tmp_path,
        "practise:", f"  - {{day: 1, stage: {stage}, bars: 2–3}}",
        "adjustments:", "  - {stage: Außenstimmen, title: Zwei Stimmen}",
        f"  - {{at: '2, beat 1, LH, B3', stage: {stage}, do: drop}}",
        commentary=f"[hier](bars:1-2/{stage}) ![Bild](bar:2/{stage})", language="de",
    )  # fmt: skip
    assert build(root).errors == ()
    place = "stages/outer-voices/index.html"
    # the task of today stands at the head, and in the plan
    links = [f"{place}#bars-2-3", f"{place}#bars-2-3", f"{place}#bars-1-2", f"{place}#bar-2"]
    assert links_of(tmp_path / "site") == links
    assert "Zwei Stimmen" in page_of(tmp_path / "site")
    assert 'src="excerpts/1.svg"' in page_of(tmp_path / "site")


def test_every_line_of_the_plan_that_leads_nowhere_is_told(build: Build, tmp_path: Path) -> None:
    plan = ["{day: 1, stage: bass lien}", "{day: 1, stage: bass line, bars: 9}", "{day: 2, stage: as written}"]
    faults = [str(fault) for fault in build(content(tmp_path, "practise:", *(f"  - {line}" for line in plan))).errors]
    assert len(faults) == 2
    assert "piece.md:6: the ladder has no stage 'bass lien'. Perhaps Bass line; the stages are: Bass line," in faults[0]
    assert faults[1].endswith("piece.md:7: the score has no bar 9. Its bars are 1 to 4")


def test_a_bar_divided_in_the_file_is_one_on_the_page(build: Build, tmp_path: Path) -> None:
    """Bar 2 ends with a repeat sign after three beats; the file calls its last beat X1, and does not count it."""
    score = divided(score_of("E5q D5 C5 B4 | G5q F5 E5 D5 | C5w", "C4w | B3h. B3q | C4w"), 1, 3, "X1")
    text = write_stage(score, stage_of(score))
    root = content(
        tmp_path,
        "practise:", "  - {day: 1, stage: as written, bars: 2-3}",
        "adjustments:", "  - {at: 'bar 2, beat 4, RH, D5', function: chord tone}",
        commentary="[hear](bars:2)", score=text,
    )  # fmt: skip
    assert build(root).errors == ()
    assert 'href="index.html#bar-2" data-first="1" data-last="2"' in page_of(tmp_path / "site")
    assert '#bars-2-3" data-stage="as-written" data-first="1" data-last="3"' in page_of(tmp_path / "site")
    data = json.loads((tmp_path / "site" / "pieces" / "tune" / "piece.json").read_text(encoding="utf-8"))
    bars = [(bar["number"], bar.get("own"), bar["lead"]) for bar in data["bars"]]
    assert bars == [("1", None, "0"), ("2", None, "0"), ("2", "X1", "3"), ("3", None, "0")]


def test_names_that_are_not_utf_8_are_a_line_and_the_rest_is_built(build: Build, tmp_path: Path) -> None:
    root = content(tmp_path)
    odd = os.fsencode(root) + b"/caf\xe9"
    try:
        os.mkdir(odd)
    except OSError:
        pytest.skip("this file system takes no such name")
    shutil.copy(root / "tune" / "score.musicxml", os.fsdecode(odd + b"/score.musicxml"))
    shutil.copy(root / "tune" / "score.musicxml", os.fsdecode(os.fsencode(root) + b"/tune/pr\xe9lude.musicxml"))
    shutil.copy(root / "tune" / "score.musicxml", os.fsdecode(os.fsencode(root) + b"/\xff.musicxml"))
    for _ in range(2):
        outcome = build()
        assert outcome.built == ("tune",)
        told = [str(f) for f in outcome.findings if "UTF-8" in str(f)]
        places = [line.partition(":")[0].removeprefix(f"{root}/") for line in told]
        assert sorted(places) == [r"\xff.musicxml", r"caf\xe9", r"tune/pr\xe9lude.musicxml"]
        (root / "studio.yaml").write_text("title: Another\n", encoding="utf-8")


def test_files_of_somebody_else_may_have_any_name(build: Build, tmp_path: Path) -> None:
    root = content(tmp_path)
    build()
    own = os.fsencode(tmp_path / "site") + b"/pr\xe9lude.txt"
    try:
        Path(os.fsdecode(own)).write_bytes(b"mine")
    except OSError:
        pytest.skip("this file system takes no such name")
    (root / "studio.yaml").write_text("title: Another\n", encoding="utf-8")
    build()
    assert Path(os.fsdecode(own)).read_bytes() == b"mine"


def test_pieces_of_other_scripts_have_pages_of_their_own(build: Build, tmp_path: Path) -> None:
    write_content(tmp_path / "content", Прелюдия=musicxml(), 前奏曲=musicxml("E5h.", "C3h.", "3/4"))
    assert build().built == ("prelyudiya", "qianzouqu")


def test_a_folder_of_any_name_gives_a_page(build: Build, tmp_path: Path) -> None:
    name = "щ" * 127
    write_content(tmp_path / "content", **{name: musicxml()})
    (slug,) = build().built
    assert (tmp_path / "site" / "pieces" / slug / "index.html").is_file()
