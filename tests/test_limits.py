"""One bad score costs itself alone: what takes too long, too much memory or the whole process is told by a line."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sitegen.apart import USUAL, Limits
from sitegen.cli import main
from tests.building.studio import musicxml, write_content, write_piece


@pytest.fixture(autouse=True)
def own_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SITEGEN_CACHE", str(tmp_path / "store"))


@pytest.fixture
def content(tmp_path: Path) -> Path:
    return write_content(tmp_path / "content", march=musicxml())


def run(*arguments: str | Path) -> Result:
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def faults(result: Result) -> list[str]:
    """The lines on standard error that tell no progress."""
    return [line for line in result.stderr.splitlines() if not line.startswith(("Building ", "Checking "))]


@pytest.mark.parametrize("command", ["check", "build", "analyse", "start"])
def test_a_limit_is_told_with_the_option_that_allows_more(tmp_path: Path, content: Path, command: str) -> None:
    score = content / "march" / "score.musicxml"
    given = {"check": [content], "build": [content, "-o", tmp_path / "site"], "analyse": [score],
             "start": [score, "--content", tmp_path / "new"]}[command]  # fmt: skip
    result = run(command, *given, "--seconds", "0.01")
    assert result.exit_code == 1
    (line,) = faults(result)
    assert line.startswith(f"{score}: the program that reads ")
    assert "took more than 0.01 seconds" in line
    assert line.endswith("Split the work into movements, or allow more with --seconds.")


def test_a_score_of_more_notes_than_there_is_memory_for_is_refused_before_it_is_read(
    tmp_path: Path, content: Path
) -> None:
    short = musicxml()
    note = re.search(r"<note.*?</note>", short, re.DOTALL)
    assert note is not None
    write_piece(content, "long", short.replace(note[0], note[0] * 6_000, 1))
    told = "has 6011 notes; 300 MB of memory is enough for 6000. Split the work into movements"
    for command in (["check", content, "-j", "0"], ["build", content, "-o", tmp_path / "site", "-j", "0"]):
        (line,) = faults(run(*command, "--memory", "300MB"))
        assert line.startswith(f"{content / 'long' / 'score.musicxml'}: {told}")
    assert (tmp_path / "site" / "pieces" / "march").is_dir()
    assert not (tmp_path / "site" / "pieces" / "long").exists()


def test_long_scores_pass() -> None:
    """A whole sonata has some 12,000 notes, the longest set of variations some 25,000."""
    assert USUAL.notes == 30_000
    assert Limits(memory=3 * 10**9).notes == 60_000


def test_less_memory_than_the_program_needs_is_no_limit(content: Path) -> None:
    result = run("check", content, "--memory", "20MB")
    assert result.exit_code == 2
    assert "'20MB' is less than the program needs for itself, 300MB." in result.stderr
