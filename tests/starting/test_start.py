"""A piece begun from its score: what is drafted reads back, checks without a fault, and nothing is written over."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sitegen.analysis import analyse
from sitegen.building.checking import check_content
from sitegen.building.store import Store
from sitegen.cli import main
from sitegen.library import load_library
from sitegen.reduction import build_ladder
from sitegen.score import read_score
from sitegen.starting.planning import draft_plan, left_to_the_teacher
from tests.building.studio import musicxml, tree_of

TUNE = "C5q D5 E5 C5 | G5h. E5q | F5q E5 D5 B4 | C5w"
BASS = "C3e G3 E3 G3 C3 G3 E3 G3 | C3 G3 E3 G3 C3 G3 E3 G3 | G2 F3 D3 F3 G2 F3 D3 F3 | C3w"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder with a score in it, as the folder that one is in."""
    monkeypatch.chdir(tmp_path)
    text = musicxml(TUNE, BASS).replace(">All<", ">Little tune<")
    (tmp_path / "little tune.musicxml").write_text(text, encoding="utf-8")
    return tmp_path


def start(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["start", *arguments])


def test_an_empty_folder_becomes_a_studio_that_builds(desk: Path) -> None:
    assert start().exit_code == 0
    report = check_content(desk / "content", Store(desk / "cache"), lambda *_: None)
    assert report.errors == ()
    assert load_library(desk / "content").studio.title == "My studio"


def test_a_second_start_leaves_the_studio_as_it_is(desk: Path) -> None:
    start()
    (desk / "content" / "studio.yaml").write_text("title: Mine\n")
    result = start()
    assert "is there already, and stays as it is" in result.stdout
    assert load_library(desk / "content").studio.title == "Mine"


def test_a_score_becomes_a_piece_without_a_fault(desk: Path) -> None:
    result = start("little tune.musicxml", "--licence", "CC0-1.0", "--source", "Written for: a test")
    assert result.exit_code == 0
    (piece,) = load_library(desk / "content").pieces
    assert (piece.slug, piece.matter.licence, piece.matter.source) == ("little-tune", "CC0-1.0", "Written for: a test")
    assert piece.score.read_bytes() == (desk / "little tune.musicxml").read_bytes()
    assert check_content(desk / "content", Store(desk / "cache"), lambda *_: None).findings == ()


def test_what_is_asked_for_and_not_given_is_left_open(desk: Path) -> None:
    start("little tune.musicxml")
    text = (desk / "content" / "little-tune" / "piece.md").read_text(encoding="utf-8")
    assert "# licence: CC0-1.0" in text
    assert "# source: where the score comes from" in text


def test_the_ladder_stands_in_the_draft_with_names_notes_and_hands(desk: Path) -> None:
    start("little tune.musicxml")
    text = (desk / "content" / "little-tune" / "piece.md").read_text(encoding="utf-8")
    score = read_score(desk / "little tune.musicxml")
    for stage in build_ladder(score, analyse(score)):
        assert re.search(
            rf"^#   - {stage.title.lower()}(?: \(side study\))?: {len(stage.notes)} notes, ", text, re.MULTILINE
        )
    assert "left minor seventh" in text, "the hand's widest stretch in a musician's words"


def test_nothing_is_written_over(desk: Path) -> None:
    start("little tune.musicxml")
    (desk / "content" / "little-tune" / "piece.md").write_text("my own words")
    before = tree_of(desk)
    result = start("little tune.musicxml")
    assert result.exit_code == 1
    assert "content/little-tune: is there already. Nothing was written. Give another name with --name" in result.stderr
    assert tree_of(desk) == before
    assert start("little tune.musicxml", "--name", "Second try").exit_code == 0
    assert (desk / "content" / "second-try" / "piece.md").is_file()


@pytest.mark.parametrize(
    ("name", "said"), [("none.musicxml", "there is no such file"), ("notes.txt", "is not a score")]
)
def test_what_is_no_score_starts_nothing(desk: Path, name: str, said: str) -> None:
    (desk / "notes.txt").write_text("...")
    result = start(name)
    assert (result.exit_code, said in result.stderr) == (1, True)
    assert not (desk / "content").exists()


def test_each_stage_of_the_plan_comes_back_two_days_later() -> None:
    from tests.notation import score_of

    score = score_of(right=TUNE, left=BASS)
    analysis = analyse(score)
    stages = build_ladder(score, analysis)
    tasks = draft_plan(score, analysis, stages)
    new = [task for task in tasks if not task.again]
    assert [task.stage for task in new] == [stage.title for stage in stages if not stage.side_study]
    assert [task.day for task in new] == list(range(1, len(new) + 1))
    for task in tasks:
        if task.again:
            assert task.stage == new[task.day - 3].stage


@pytest.mark.parametrize(
    ("phrases", "planned", "left"),
    [(12, ["0-16", "16-32", "32-48"], ()), (20, ["0-16"], ("16-32", "32-48", "48-64", "64-80"))],
)
def test_a_stretch_of_the_plan_ends_with_the_last_chord_of_its_phrase_where_the_next_has_an_upbeat(
    phrases: int, planned: list[str], left: tuple[str, ...]
) -> None:
    """Phrases of four bars end on the third beat of a bar, and the next begins on its fourth."""
    from tests.notation import score_of

    tune, bass = "C5q D5 E5 F5 | G5 E5 C5 E5 | F5 D5 B4 D5 | C5h. ", "C3h E3 | C3h G3 | G2h F3 | C3h. "
    right = "G4q | " + "G4q | ".join([tune] * phrases)
    score = score_of(right=right, left="rq | " + "rq | ".join([bass] * phrases))
    analysis = analyse(score)
    stages = build_ladder(score, analysis)
    bars = {task.bars for task in draft_plan(score, analysis, stages) if task.bars}
    assert sorted(bars, key=lambda text: int(text.split("-")[0])) == planned
    assert left_to_the_teacher(score, analysis, stages) == left
