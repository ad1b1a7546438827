"""DEVELOPERS.md and OUTPUTS.md are true: their blocks, the files that they name, the fields that they list."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from sitegen.building.contract import load_schema
from sitegen.building.steps import table
from tests.documents.blocks import Block, blocks_of, spans_of
from tests.documents.desk import ROOT, Desk
from tests.documents.running import faults_of, wrong_spans
from tests.test_quality import CHECKS

DEVELOPERS, OUTPUTS, ADDING = ROOT / "DEVELOPERS.md", ROOT / "sitegen" / "OUTPUTS.md", ROOT / "sitegen" / "ADDING.md"
#: Commands of the workshop that no test gives: they ask servers, or take an hour. Each stands with what gives it else.
ELSEWHERE: Mapping[str, str] = {
    'python -m pip install -e ".[test]"': ".ci/run",
    "python -m pytest": ".ci/run",
    ".ci/lowest": ".ci/lowest",
    "pip-audit -r constraints.txt --no-deps --disable-pip": "constraints.txt",
    "cd themes/base": "themes/base",
    "npm audit": "themes/base/package-lock.json",
}
_LIGHTHOUSE = "npx lighthouse"
_PATH = re.compile(r"^[\w.<>-]*(?:/[\w.<>-]+)*(?:/|\.(?:py|js|css|json|toml|md|j2|html|txt|mjs))$")
_MADE = re.compile(  # files that are made, or that whoever reads makes
    r"^(analysis|site|manifest|bundle|timing|harmonies|shelf|en|<language>)\.json$|^(print|index|reading)\.html$|^(studio|piece)\.|^content/"
    r"|^(build|for|bundles|my-themes|studio|by|themes/<name>|words)/|^(about\.html\.j2|slate\.(css|js)|theme\.toml)$|fi\.json$|<|\.next$"
)


def drawing(desk: Desk, block: Block, rest: str) -> Iterator[str]:
    """The drawing of what comes from what: its steps are folders of the program."""
    for folder in {"library", "score", "building"} | set(re.findall(r"──(\w+)──►", block.text)):
        if not (ROOT / "sitegen" / folder).is_dir():
            yield f"there is no folder sitegen/{folder}"


def layers(desk: Desk, block: Block, folder: str) -> Iterator[str]:
    """What stands above what in a folder of the program: all its folders and modules are there."""
    there = {each.name.removesuffix(".py") + "/" * each.is_dir() for each in (ROOT / "sitegen" / folder).iterdir()}
    told = {name for line in block.text.splitlines() for name in re.split(r" {2,}", line.strip())[0].split()}
    yield from (f"there is no sitegen/{folder}/{name}" for name in sorted(told - there))
    left = {name for name in there if name.endswith("/") and not name.startswith("__")} - told
    yield from (f"does not tell of sitegen/{folder}/{name}" for name in sorted(left))


def workshop(desk: Desk, block: Block, rest: str) -> Iterator[str]:
    """Commands of whoever works on the program: each is of the project, and is there."""
    for line in block.text.splitlines():
        for command in re.split(r" && |[()]", line.partition("#")[0]):
            yield from _wrong(command.strip())


def _wrong(command: str) -> Iterator[str]:
    words = command.split()
    given_elsewhere = next((where for given, where in ELSEWHERE.items() if command.startswith(given)), "")
    if not words or command.startswith(_LIGHTHOUSE) or command.startswith("python -m sitegen"):
        return
    if given_elsewhere:
        if not (ROOT / given_elsewhere).exists():
            yield f"'{command}' is given by {given_elsewhere}, which is not there"
    elif not (words in CHECKS.values() or words[0] in {check[0] for check in CHECKS.values()} or _runs(words)):
        yield f"nothing gives '{command}'"


def _runs(words: list[str]) -> bool:
    """Whether a module of the tests is there that is a command."""
    if words[:2] != ["python", "-m"] or not words[2].startswith("tests."):
        return False
    module = ROOT / (words[2].replace(".", "/") + ".py")
    return module.is_file() and "__main__" in module.read_text(encoding="utf-8")


def test_the_blocks_of_developers_are_covered(tmp_path: Path) -> None:
    assert (
        faults_of(DEVELOPERS, Desk(tmp_path / "desk"), {"drawing": drawing, "layers": layers, "workshop": workshop})
        == []
    )


def test_outputs_are_as_they_are_told(tmp_path: Path) -> None:
    assert faults_of(OUTPUTS, Desk(tmp_path / "desk", ROOT, {"SITEGEN_CACHE": str(tmp_path / "store")})) == []


@pytest.mark.parametrize("command", ["python -m tests.nowhere", "make all", "tox"])
def test_a_command_that_nothing_gives_is_a_fault(command: str) -> None:
    assert list(_wrong(command)) == [f"nothing gives '{command}'"]


@pytest.mark.parametrize("document", [DEVELOPERS, OUTPUTS, ADDING], ids=lambda document: document.name)
def test_every_command_in_a_sentence_is_one(document: Path) -> None:
    assert wrong_spans(document) == []
    named = {found for span in spans_of(document) for found in re.findall(r"python -m (tests\.[\w.]+)", span.text)}
    assert [module for module in named if not _runs(["python", "-m", module])] == []


def gone(document: Path) -> list[str]:
    """The files and folders that ``document`` names and the project does not have."""
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split()
    there = {f"/{file}" for file in tracked} | {f"/{folder}/" for file in tracked for folder in Path(file).parents}
    made = {Path(note.rest).name for block in blocks_of(document) for note in block.notes}
    named = {span.text for span in spans_of(document) if _PATH.match(span.text) and not _MADE.search(span.text)}
    return [
        name
        for name in sorted(named)
        if not any(each.endswith(f"/{name}") for each in there) and Path(name).name not in made
    ]


@pytest.mark.parametrize("document", [DEVELOPERS, OUTPUTS, ADDING], ids=lambda document: document.name)
def test_every_file_that_is_named_is_there(document: Path) -> None:
    assert gone(document) == []


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    document = tmp_path / "document.md"
    document.write_text("`score/reading.py`, `score/writing.py`, `tests/score`, `nowhere/`, `engines/`, `cli.py`\n")
    assert gone(document) == ["nowhere/", "score/writing.py"]


def test_the_steps_of_a_build_are_those_of_the_table() -> None:
    (_, _, told), *_ = [DEVELOPERS.read_text(encoding="utf-8").partition("## What a build does")]
    named = set(re.findall(r"`([\w ]+)`", told.partition("\n## ")[0]))
    steps = {step.name for step in vars(table).values() if isinstance(step, table.Step)}
    assert steps - named <= {"wishes without effect", "excerpt", "card picture", "gallery", "search", "outline"}


def _fields(schema: Mapping[str, Any], part: Mapping[str, Any]) -> Iterator[str]:
    """The names of all fields of a part of a schema."""
    if "$ref" in part:
        yield from _fields(schema, schema["$defs"][part["$ref"].rpartition("/")[2]])
    fields = part.get("properties", {})
    yield from fields
    for inside in (*fields.values(), *filter(None, [part.get("items")]), *part.get("anyOf", ())):
        yield from _fields(schema, inside)


@pytest.mark.parametrize(
    ("name", "heading"), [("analysis", "The analysis"), ("site", "The listing of a site"), ("manifest", "The manifest")]
)
def test_every_field_is_told_and_no_other(name: Any, heading: str) -> None:
    _, _, behind = OUTPUTS.read_text(encoding="utf-8").partition(f"\n## {heading}\n")
    rows = re.findall(r"^\| `.*$", behind.partition("\n## ")[0], re.M)
    told = {part.removesuffix("[]") for row in rows for span in re.findall(r"`([a-z_\[\].]+)`", row)
            for part in span.split(".")}  # fmt: skip
    schema = load_schema(name)
    assert told == set(_fields(schema, schema))
