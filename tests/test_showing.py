"""What files and names hold is told as text: no sign in it steers the terminal, and nothing in it is endless."""

from __future__ import annotations

import io
import json
import os
import re
import sys
from functools import partial
from pathlib import Path

import pytest
import rich.console
from click.testing import CliRunner, Result

from sitegen.building.progress import Progress
from sitegen.building.store import Store
from sitegen.cli import _progress, main
from sitegen.errors import ContentError
from sitegen.previewing import PreviewFolder
from sitegen.showing import LONGEST_LINE, LONGEST_WORD, as_json_shown, shown, shown_lines
from tests.building.studio import musicxml, write_content, write_piece

#: An escape that clears the screen, one of a single sign, a bell, a return, a turn of direction, a space of no width.
SIGNS = "\x1b[2J\x9b5m\x07\r\u202e\u200b"
WRITTEN = r"\x1b[2J\x9b5m\x07"
OBEYED = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2066-\u2069\ufeff]")


@pytest.fixture(autouse=True)
def own_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SITEGEN_CACHE", str(tmp_path / "store"))


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Für Elise, Прелюдия, 前奏曲 ♭", "Für Elise, Прелюдия, 前奏曲 ♭"),
        ("a\x1b[31mb", r"a\x1b[31mb"),
        ("\x07\r\n\t\x7f\x9b", r"\x07\x0d\x0a\x09\x7f\x9b"),
        ("\u202egnp.exe\u200b\ufeff", r"\u202egnp.exe\u200b\ufeff"),
        (os.fsdecode(b"caf\xe9.mxl"), r"caf\xe9.mxl"),
        ("\U000e0041", r"\U000e0041"),
        ("[bold]loud[/bold]", "[bold]loud[/bold]"),
    ],
)
def test_signs_that_are_not_seen_are_written_out(text: str, told: str) -> None:
    assert shown(text) == told


def test_what_is_endless_is_cut() -> None:
    assert shown("x" * 10_000) == "x" * (LONGEST_LINE - 1) + "…"
    told = str(ContentError(f"'{'x' * 10_000}' is no key", "Write one.", "piece.md", line=3))
    assert told == f"piece.md:3: '{'x' * (LONGEST_WORD - 2)}… is no key. Write one."


def test_lines_stay_lines() -> None:
    assert shown_lines("one\n\x1btwo\n") == "one\n\\x1btwo\n"


def test_json_means_the_same_when_it_is_shown() -> None:
    data = {"title": f"{SIGNS}\U000e0041 é 前"}
    told = as_json_shown(json.dumps(data, ensure_ascii=False, indent=1))
    assert json.loads(told) == data
    assert OBEYED.search(told) is None
    assert "é 前" in told


def test_no_line_of_a_command_steers_the_terminal(tmp_path: Path) -> None:
    """Whether the signs come from a name, a field, a commentary, or a score."""
    content = write_content(tmp_path / "content", march=musicxml())
    write_piece(content, f"b{SIGNS}ad", "<score/>")
    (content / f"loose{SIGNS}.abc").write_text("X:1\nK:C\nC|\n", encoding="utf-8")
    titled = write_piece(
        content, "titled", musicxml(), f"[x](bars:{SIGNS.replace(chr(13), '')}) [y](bars:{'9' * 4000})"
    )
    front = (titled / "piece.md").read_text(encoding="utf-8")
    quoted = json.dumps(f"{SIGNS}[bold]loud[/bold]")
    front = re.sub(r"(?m)^title:.*$", lambda _: f"title: {quoted}\nhand: {quoted}", front)
    (titled / "piece.md").write_text(front, encoding="utf-8")
    listed = write_piece(content, "listed", musicxml())
    (listed / "score.musicxml").unlink()
    (listed / "score.krn").write_text(f"**kern\nC{SIGNS}\n*-\n", encoding="utf-8")
    front = (listed / "piece.md").read_text(encoding="utf-8").replace("score.musicxml", "score.krn")
    (listed / "piece.md").write_text(front, encoding="utf-8")
    score = tmp_path / f"sc{SIGNS}ore.musicxml"
    score.write_text(musicxml().replace(">All<", f">{re.sub(OBEYED, '', SIGNS)}\u202eAll[bold]<"), encoding="utf-8")
    told = [
        run("check", content, "-j", "0"),
        run("check", content, "-j", "0", "--format", "json"),
        run("build", content, "-o", tmp_path / "site", "-j", "0", "--explain"),
        run("analyse", score),
        run("analyse", score, "--format", "json"),
        run("analyse", tmp_path / f"no{SIGNS}.abc"),
        run("start", score, "--content", tmp_path / "new"),
        run("analyse", score, f"one{SIGNS}", "too", "many"),
        run("check", tmp_path / f"no{SIGNS}"),
    ]
    for result in told:
        assert OBEYED.search(result.output) is None, result.output
        assert "Traceback" not in result.output
    assert all(len(line) <= LONGEST_LINE for line in told[0].output.splitlines())
    assert WRITTEN in told[0].output


def test_a_progress_bar_shows_what_looks_like_markup(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = io.StringIO()
    terminal = partial(rich.console.Console, file=screen, force_terminal=True, width=200)
    monkeypatch.setattr("rich.console.Console", lambda stderr: terminal())
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    with _progress("Building") as tell:
        tell(Progress(f"march: drawing [bold]loud[/] {SIGNS}", 0, 2))
    assert "drawing [bold]loud[/]" in screen.getvalue()
    assert WRITTEN in screen.getvalue()


def test_a_preview_tells_text(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    write_piece(content, "bad", musicxml(), f"[x](bars:{SIGNS.replace(chr(13), '')}<b>)")
    folder = PreviewFolder(content, tmp_path / "shown", Store(tmp_path / "cache"))
    folder.refresh()
    told = [finding["text"] for finding in folder.state()["findings"]]
    assert told
    assert OBEYED.search("".join(told)) is None
