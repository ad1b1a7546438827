"""README is true, and every command of the program is shown with what it prints, there or in the guide."""

from __future__ import annotations

import re
from pathlib import Path

from sitegen.cli import main
from tests.documents.desk import ROOT, Desk
from tests.documents.running import commands_shown, faults_of, wrong_spans

README = ROOT / "README.md"
PAGES = sorted((ROOT / "content" / "pages").glob("*.md"))


def test_it_is_true(tmp_path: Path) -> None:
    told = faults_of(README, Desk(tmp_path / "desk"))
    assert told == [], "\n\n".join(told)


def test_every_command_in_a_sentence_exists() -> None:
    assert wrong_spans(README) == []


def test_every_command_is_shown_with_what_it_prints() -> None:
    shown = {name for document in (README, *PAGES) for name in commands_shown(document)}
    assert main.commands.keys() <= shown


def test_it_leads_to_files_that_are_there() -> None:
    links = re.findall(r"\]\(([^)#:]+)\)|src=\"([^\"]+)\"", README.read_text(encoding="utf-8"))
    assert links
    assert [place for pair in links for place in pair if place and not (ROOT / place).is_file()] == []
