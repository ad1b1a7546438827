"""What holds documents to be true finds what is wrong in one."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.building.studio import musicxml, write_content
from tests.documents.blocks import Block, Note, blocks_of, parts_of
from tests.documents.desk import Desk
from tests.documents.running import commands_shown, faults_of, wrong_spans
from tests.documents.varying import agrees


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    write_content(tmp_path / "desk" / "content", march=musicxml())
    return Desk(tmp_path / "desk")


def written(tmp_path: Path, text: str) -> Path:
    document = tmp_path / "document.md"
    document.write_text(text, encoding="utf-8")
    return document


def test_blocks_are_found_with_their_notes_in_lists_too(tmp_path: Path) -> None:
    text = (
        "<!-- test: run touch a -->\n\nWords.\n\n<!-- test: file content/x -->\n```yaml\na: 1\n```\n\n"
        "1. In a list:\n\n   ```console\n   $ ls\n   a\n   ```\n"
    )
    assert list(parts_of(written(tmp_path, text))) == [
        Note("run", "touch a", 1),
        Block("yaml", "a: 1\n", 6, (Note("file", "content/x", 5),)),
        Block("console", "$ ls\na\n", 12),
    ]


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("```console\n$ echo one\none\n$ echo two\ntwo\n```", ""),
        ("```console\n$ echo one\ntwo\n```", "'echo one' prints:\none\n  and not:\ntwo"),
        ("```console\n$ echo one\n```", "prints:\none"),
        ("```console\n$ false\n```", "'false' ends with 1 and not 0"),
        ("<!-- test: ends 1 -->\n```console\n$ false\n```", ""),
        ("<!-- test: ends 1 -->\n```console\n$ true\n```", "ends with 0 and not 1"),
        ("```console\nnothing\n```", "holds no line"),
        ("```sh\ntrue\nfalse\ntrue\n```", "ends with 1"),
        ("```yaml\na: 1\n```", "no rule covers this block of 'yaml'"),
        ("```\na drawing\n```", "no rule covers this block of 'nothing'"),
        ("<!-- test: fild x -->\n```yaml\na: 1\n```", "there is no rule 'fild'"),
        ("<!-- test: fields x -->\n", "'fields' is about no block"),
        ("<!-- test: run false -->\n", "'false' ends with 1"),
        ("```console\n$ mkdir a && cd a\n$ pwd\na\n$ cd ..\n$ pwd\n.\n```", ""),
        ("<!-- test: here rm -r content -->\n```console\n$ ls\n```\n\n```console\n$ ls\ncontent\n```", ""),
    ],
)
def test_what_is_shown_is_what_happens(tmp_path: Path, desk: Desk, text: str, wrong: str) -> None:
    faults = faults_of(written(tmp_path, text), desk)
    assert [wrong in each for each in faults] == ([True] if wrong else []), faults


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("<!-- test: fields content/march/piece.md -->\n```yaml\ntitle: Other\ncomposer: Nobody\n```", ""),
        ("<!-- test: try content/march/piece.md -->\n```yaml\ntitel: Other\n```", "titel"),
        ("<!-- test: try content/studio.yaml -->\n```yaml\nlanguage: pl\n```", ""),
        ("<!-- test: try content/studio.yaml -->\n```yaml\nhand: enormous\n```", "field 'hand' cannot be used"),
        ("<!-- test: try-text content/march/piece.md -->\n```markdown\n[Hear](bars:1) it.\n```", ""),
        ("<!-- test: try-text content/march/piece.md -->\n```markdown\n[Hear](bars:9) it.\n```", "9"),
        (
            "<!-- test: try content/march/piece.md -->\n<!-- test: warns CC0-1.0 -->\n```yaml\nlicence: CC0\n```",
            "",
        ),
        ("<!-- test: warns wings -->\n<!-- test: try content/march/piece.md -->\n```yaml\ntitle: A\n```", "wings"),
        (
            '<!-- test: file a.json -->\n```json\n{"a": [1, 2]}\n```\n\n'
            '<!-- test: inside a.json -->\n```json\n{"a": [2]}\n```',
            "",
        ),
        ('<!-- test: inside a.json -->\n<!-- test: file a.json -->\n```json\n{"a": 1}\n```', "not there"),
        ("<!-- test: in content/march/piece.md -->\n```yaml\ntitle: March\nscore: score.musicxml\n```", ""),
        ("<!-- test: in content/march/piece.md -->\n```yaml\ntitle: Waltz\n```", "does not stand in"),
    ],
)  # fmt: skip
def test_what_goes_into_a_file_is_read_by_the_program(tmp_path: Path, desk: Desk, text: str, wrong: str) -> None:
    faults = faults_of(written(tmp_path, text), desk)
    assert [wrong in each for each in faults] == ([True] if wrong else []), faults


def test_what_is_tried_is_taken_out_again(tmp_path: Path, desk: Desk) -> None:
    before = (desk.folder / "content" / "march" / "piece.md").read_text()
    text = "<!-- test: try content/march/piece.md -->\n```yaml\ntitle: Other\n```"
    assert faults_of(written(tmp_path, text), desk) == []
    assert (desk.folder / "content" / "march" / "piece.md").read_text() == before


@pytest.mark.parametrize(
    ("shown", "printed", "same"),
    [
        ("a\n...\nd", "a\nb\nc\nd", True),
        ("a\n...\nd", "a\nb\nc\ne", False),
        ("a\n...", "a\nb", True),
        ("a\n...", "b\na", False),
        ("one two ...", "one two three", True),
        ("one ...\ntwo", "one\nthree\ntwo", False),
        ("begins: 2026-11-30", "begins: 2027-01-02", True),
        ("begins: 2026-11-30", "ends: 2026-11-30", False),
        ("3 pieces", "4 pieces", False),
        ("at http://127.0.0.1:8010/", "at http://127.0.0.1:8011/", True),
    ],
)
def test_only_what_varies_may_differ(shown: str, printed: str, same: bool) -> None:
    assert agrees(shown, printed) == same


def test_commands_within_sentences_must_exist(tmp_path: Path) -> None:
    text = "`sitegen build -o x`, `sitegen bild`, `sitegen check --fast`, `python -m tests.nowhere`, `ls --fast`"
    assert wrong_spans(written(tmp_path, text)) == [
        "document.md:1: there is no command 'sitegen bild'",
        "document.md:1: 'sitegen check' has no option '--fast'",
        "document.md:1: there is no module 'tests.nowhere'",
    ]


def test_commands_that_are_shown(tmp_path: Path) -> None:
    text = "`sitegen pack`\n```console\n$ python -m sitegen check content\n$ sitegen build\n```\n"
    document = written(tmp_path, text)
    assert commands_shown(document) == {"check", "build"}
    assert len(blocks_of(document)) == 1


def test_a_preview_is_opened_and_ended(tmp_path: Path, desk: Desk) -> None:
    told = "Open http://127.0.0.1:8010/ in a browser of this machine. Ctrl-C ends it.\nMade: march\n"
    text = f"```console\n$ sitegen preview\n{told}```\n"
    assert faults_of(written(tmp_path, text), desk) == []


def test_a_preview_that_cannot_begin_is_a_fault(tmp_path: Path, desk: Desk) -> None:
    faults = faults_of(written(tmp_path, "```console\n$ sitegen preview nowhere\n...\nOpen ...\n```\n"), desk)
    assert any("ends with 1" in each for each in faults), faults
