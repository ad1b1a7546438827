"""The pages of the demo's guide are true: each is followed to the letter, from an empty folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.documents.desk import ROOT, Desk
from tests.documents.running import faults_of, wrong_spans

PAGES = sorted((ROOT / "content" / "pages").glob("*.md"))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_the_page_is_true(page: Path, tmp_path: Path) -> None:
    told = faults_of(page, Desk(tmp_path / "desk"))
    assert told == [], "\n\n".join(told)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_every_command_in_a_sentence_exists(page: Path) -> None:
    assert wrong_spans(page) == []
