"""How a block of a document is held to be true: a rule for each language, or for the word that a note gives.

Without a note:

- ``console``: each line ``$ COMMAND`` is given at the desk, and what follows it is what it prints. It must end well.
- ``sh``: commands of which nothing is shown. They must end well, or stand in the table ``ELSEWHERE``.

Notes about a block:

- ``file PATH``: the block is that file, and is left there.
- ``fields PATH``: YAML that goes into the front matter of that file (or into ``studio.yaml``), in place of fields of
  the same names, and is left there; ``try PATH`` takes it out again.
- ``text PATH``: Markdown that goes to the end of that file, and is left there; ``try-text PATH`` takes it out again.
- ``in PATH``: the block stands in that file word for word, ``inside PATH`` says so of a part of a JSON file: what is
  named is there, and more may be.
- ``here COMMAND``: done before the block in a copy of the desk, and the block is held against the copy.
- ``ends CODE``: the last command of the block ends with that code.
- ``warns WORDS``: ``check`` may find what has these words in it, and must.

After ``file``, ``fields``, ``text`` and their trials in a content folder, ``check`` must find nothing that it did not
find before. A note ``run COMMAND`` that stands alone is given at the desk, where the reader has done something that no
command does. Words that are not here can be given to ``faults_of``.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from tests.documents.blocks import Block
from tests.documents.desk import ROOT, Desk
from tests.documents.varying import agrees

#: A rule yields what is wrong with a block, given the rest of the note that called it.
Rule = Callable[[Desk, Block, str], Iterator[str]]

#: Commands that are run otherwise than by these tests: by what, which must name them or read them.
ELSEWHERE: Mapping[str, str] = {
    "python -m pip install . && python -m sitegen build": ".ci/run",
    'python -m pip install ".[test]" && python -m pytest': ".ci/run",
}


def console(desk: Desk, block: Block, rest: str) -> Iterator[str]:
    """Commands with what they print."""
    ends = {note.word: note.rest for note in block.notes}.get("ends", "0")
    given = list(_commands(block))
    if not given:
        yield "holds no line that begins with '$ '"
    for number, (command, shown) in enumerate(given):
        printed, code = desk.serve(command, shown) if desk.serves(command) else desk.run(command)
        if not agrees(shown, printed):
            yield f"'{command}' prints:\n{printed.rstrip()}\n  and not:\n{shown.rstrip()}"
        meant = int(ends) if number == len(given) - 1 else 0
        if code != meant:
            yield f"'{command}' ends with {code} and not {meant}:\n{printed.rstrip()}"


def shell(desk: Desk, block: Block, rest: str) -> Iterator[str]:
    """Commands of which nothing is shown."""
    command = block.text.strip()
    if command in ELSEWHERE:
        if not (ROOT / ELSEWHERE[command]).is_file():
            yield f"is run by {ELSEWHERE[command]}, which is not there"
        return
    printed, code = desk.run(f"set -e\n{command}")
    if code:
        yield f"ends with {code}:\n{printed.rstrip()}"


def file(desk: Desk, block: Block, path: str) -> Iterator[str]:
    """A whole file."""
    yield from _left(desk, block, path, lambda before: block.text)


def fields(desk: Desk, block: Block, path: str) -> Iterator[str]:
    """Fields that go into a file."""
    yield from _left(desk, block, path, lambda before: with_fields(before, block.text, path))


def tried(desk: Desk, block: Block, path: str) -> Iterator[str]:
    """Fields that go into a file, and out again."""
    with desk.copied() as copy:
        yield from fields(copy, block, path)


def text(desk: Desk, block: Block, path: str) -> Iterator[str]:
    """Words that go to the end of a file."""
    yield from _left(desk, block, path, lambda before: f"{before.rstrip()}\n\n{block.text}")


def tried_text(desk: Desk, block: Block, path: str) -> Iterator[str]:
    """Words that go to the end of a file, and out again."""
    with desk.copied() as copy:
        yield from text(copy, block, path)


def stands_in(desk: Desk, block: Block, path: str) -> Iterator[str]:
    """A part of a file, word for word."""
    if not _at(desk, path).is_file():
        yield f"{path} is not there"
    elif block.text not in _at(desk, path).read_text(encoding="utf-8"):
        yield f"does not stand in {path} as it is shown"


def inside(desk: Desk, block: Block, path: str) -> Iterator[str]:
    """A part of a JSON file."""
    if not _at(desk, path).is_file():
        yield f"{path} is not there"
        return
    there = json.loads(_at(desk, path).read_text(encoding="utf-8"))
    if not _holds(there, json.loads(block.text)):
        yield f"is not what {path} holds"


RULES: Mapping[str, Rule] = {
    "file": file, "fields": fields, "try": tried, "text": text, "try-text": tried_text, "in": stands_in,
    "inside": inside,
}  # fmt: skip
LANGUAGES: Mapping[str, Rule] = {"console": console, "sh": shell}
#: Notes that say something to a rule, and are none themselves.
BESIDE = frozenset({"ends", "warns", "here"})


def with_fields(before: str, given: str, path: str) -> str:
    """The text of a file with the ``given`` fields, as they are written, in place of its own of the same names."""
    names = set(re.findall(r"^([A-Za-z_]+):", given, re.M))
    if not path.endswith(".md"):
        return _without(before, names) + given
    front, line, behind = before.removeprefix("---\n").partition("\n---\n")
    return f"---\n{_without(front + chr(10), names)}{given.rstrip()}{line}{behind}"


def _without(text: str, names: set[str]) -> str:
    """YAML without the fields of these ``names``."""
    kept = re.split(r"^(?=[A-Za-z_#])", text, flags=re.M)
    return "".join(part for part in kept if part.partition(":")[0] not in names)


def _commands(block: Block) -> Iterator[tuple[str, str]]:
    """Each command, and what is shown of what it prints. One goes on in the next line after a backslash."""
    command, shown = "", ""
    goes_on = False
    for line in block.text.splitlines():
        if goes_on:
            command += f"\n{line.removeprefix('> ')}"
        elif line.startswith("$ "):
            if command:
                yield command, shown
            command, shown = line.removeprefix("$ "), ""
        elif command:
            shown += f"{line}\n"
        goes_on = (goes_on or line.startswith("$ ")) and line.endswith("\\")
    if command:
        yield command, shown


def _left(desk: Desk, block: Block, path: str, change: Callable[[str], str]) -> Iterator[str]:
    place = desk.here / path
    before = place.read_text(encoding="utf-8") if place.is_file() else ""
    content = next((each for each in place.parents if (each / "studio.yaml").is_file()), None)
    stood = _findings(desk, content) if content else []
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text(change(before), encoding="utf-8")
    if content is None:
        return
    new = [each for each in _findings(desk, content) if each not in stood]
    for expected in (note.rest for note in block.notes if note.word == "warns"):
        if not any(expected in each for each in new):
            yield f"'check' does not say '{expected}'"
        new = [each for each in new if expected not in each]
    yield from (f"'check' says: {each}" for each in new)


def _findings(desk: Desk, content: Path) -> list[str]:
    """What ``check`` finds, without the line, which moves."""
    printed, _ = desk.run(f"sitegen check '{content}' --format json 2>/dev/null")
    try:
        found = json.loads(printed)["findings"]
    except (ValueError, KeyError):
        return [printed]
    return [json.dumps({key: value for key, value in each.items() if key != "line"}, ensure_ascii=False)
            for each in found]  # fmt: skip


def _at(desk: Desk, path: str) -> Path:
    """A file of the desk, or else of the project."""
    place = desk.here / path
    return place if place.is_file() else ROOT / path


def _holds(there: Any, shown: Any) -> bool:
    if isinstance(shown, dict):
        return isinstance(there, dict) and all(k in there and _holds(there[k], v) for k, v in shown.items())
    if isinstance(shown, list):
        rest = iter(there) if isinstance(there, list) else iter(())
        return all(any(_holds(each, wanted) for each in rest) for wanted in shown)
    return bool(there == shown)
