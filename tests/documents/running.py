"""A document done from its first line to its last, as a reader does it who follows it to the letter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib.util import find_spec
from pathlib import Path

import click

from sitegen.cli import main
from tests.documents.blocks import Block, Note, parts_of, spans_of
from tests.documents.desk import Desk
from tests.documents.rules import BESIDE, LANGUAGES, RULES, Rule


def faults_of(document: Path, desk: Desk, more: Mapping[str, Rule] | None = None) -> list[str]:
    """What is not true in ``document``, each with its line; ``more`` are rules of its own, by the words of their
    notes."""
    rules = {**RULES, **(more or {})}
    faults: list[str] = []
    for part in parts_of(document):
        told = _alone(desk, part) if isinstance(part, Note) else _block(desk, part, rules)
        faults += (f"{document.name}:{part.line}: {each}" for each in told)
    return faults


def wrong_spans(document: Path) -> list[str]:
    """Commands within sentences that the program, or the project's own tests, do not have."""
    found = ((span.line, _wrong_command(span.text.split())) for span in spans_of(document))
    return [f"{document.name}:{line}: {wrong}" for line, wrong in found if wrong]


def commands_shown(document: Path) -> set[str]:
    """The commands of the program that the document gives with what they print."""
    given = (
        line.removeprefix("$ ").replace("python -m sitegen", "sitegen").split()
        for part in parts_of(document)
        if isinstance(part, Block) and part.language == "console"
        for line in part.text.splitlines()
        if line.startswith("$ ")
    )
    return {words[1] for words in given if words[0] == "sitegen" and len(words) > 1}


def _alone(desk: Desk, note: Note) -> Iterator[str]:
    if note.word != "run":
        yield f"'{note.word}' is about no block"
        return
    printed, code = desk.run(note.rest)
    if code:
        yield f"'{note.rest}' ends with {code}:\n{printed}"


def _block(desk: Desk, block: Block, rules: Mapping[str, Rule]) -> Iterator[str]:
    for note in block.notes:
        if note.word == "run":
            yield from _alone(desk, note)
    before = [note.rest for note in block.notes if note.word == "here"]
    if not before:
        yield from _held(desk, block, rules)
        return
    with desk.copied() as copy:
        for command in before:
            yield from _alone(copy, Note("run", command, block.line))
        yield from _held(copy, block, rules)


def _held(desk: Desk, block: Block, rules: Mapping[str, Rule]) -> Iterator[str]:
    named = [note for note in block.notes if note.word not in BESIDE | {"run"}]
    for note in named:
        if note.word in rules:
            yield from rules[note.word](desk, block, note.rest)
        else:
            yield f"there is no rule '{note.word}'"
    if not named:
        if block.language in LANGUAGES:
            yield from LANGUAGES[block.language](desk, block, "")
        else:
            yield f"no rule covers this block of '{block.language or 'nothing'}'"


def _wrong_command(words: list[str]) -> str:
    """What is wrong with the words of a command; nothing where they are those of another program."""
    if words[:2] == ["python", "-m"] and len(words) > 2 and words[2].startswith("tests"):
        return "" if find_spec(words[2]) else f"there is no module '{words[2]}'"
    if words[:3] == ["python", "-m", "sitegen"]:
        words = words[2:]
    if words[:1] != ["sitegen"] or len(words) < 2:
        return ""
    if words[1].startswith("-"):
        return _wrong_options(main, words[1:])
    command = main.commands.get(words[1])
    return _wrong_options(command, words[2:]) if command else f"there is no command 'sitegen {words[1]}'"


def _wrong_options(command: click.Command, words: list[str]) -> str:
    parameters = command.get_params(click.Context(command))
    known = {name for each in parameters for name in (*each.opts, *each.secondary_opts)}
    unknown = [word for word in words if word.startswith("-") and word.partition("=")[0] not in known]
    return f"'sitegen {command.name}' has no option '{unknown[0]}'" if unknown else ""
