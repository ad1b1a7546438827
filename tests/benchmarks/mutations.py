"""Change one constant at a time and see whether a test notices: what survives, no test speaks of.

    python -m tests.benchmarks.mutations [--only windows tune] [--but weights] [--tests tests/reduction]
        [--sample N] [--list]

A mutation multiplies a module's numeric constant (a name in capitals, bound to a number, or a number in a tuple or
table bound to one or several) by two, halves it, or adds or takes away one; what comes out the same, and sets, are left
out, and what stands for no number by its docstring (``Stands for ...``: no note, more than anything). Each is written
into a copy of the package in a temporary folder, and the tests of the folder concerned run there until the first
fails, those with a word of the module's name in theirs before all others: ``tests/reduction`` for
``sitegen/reduction``, ``tests/analysis`` and then ``tests/reduction`` for ``sitegen/analysis``; slow tests on generated
and real scores are left out. Prints each that survives, and how many of how many did. ``--only`` and ``--but`` take
words of module paths; ``--sample`` takes every so many-th, so that N remain. It needs ``fork``.
"""

from __future__ import annotations

import argparse
import ast
import os
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

# loaded once, before the forks: what the tests need that is not ours
import hypothesis  # noqa: F401
import music21  # noqa: F401
import numpy  # noqa: F401
import pytest
import verovio  # noqa: F401

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = {"reduction": ["tests/reduction"], "analysis": ["tests/analysis", "tests/reduction"]}
LONGEST = 300  # seconds for the tests of one mutation
SLOW = ("test_invariants.py", "test_true_sentences.py", "test_bad_input.py")


@dataclass(frozen=True)
class Mutation:
    """A number in ``file`` (relative to the root) from ``start`` to ``end`` on a line, and what is put there."""

    file: Path
    name: str
    line: int
    start: int
    end: int
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line} {self.name}: {self.old} -> {self.new}"


def mutations(file: Path) -> Iterator[Mutation]:
    """The mutations of the constants of a module."""
    text = (ROOT / file).read_text("utf-8")
    for node, following in pairwise([*ast.parse(text).body, None]):
        target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
        names = [part.id for part in getattr(target, "elts", [target]) if isinstance(part, ast.Name)]
        name = ", ".join(names)
        if not name.isupper() or getattr(node, "value", None) is None or _says_that_it_stands_for(following):
            continue
        for number in _numbers(node.value) if not _is_set(node.value) else ():
            old = ast.get_source_segment(text, number) or ""
            for new in _others(number.value):
                yield Mutation(file, name, number.lineno, number.col_offset, number.end_col_offset or 0, old, new)


def _says_that_it_stands_for(docstring: ast.AST | None) -> bool:
    value = getattr(getattr(docstring, "value", None), "value", "")
    return isinstance(value, str) and value.startswith("Stands for")


def _is_set(value: ast.AST) -> bool:
    return isinstance(value, ast.Set) or (isinstance(value, ast.Call) and getattr(value.func, "id", "") == "frozenset")


def _numbers(value: ast.AST) -> Iterator[ast.Constant]:
    for node in ast.walk(value):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float):
            yield node


def _others(number: float) -> list[str]:
    if isinstance(number, int):
        found = [number * 2, number // 2, number + 1, number - 1] if number > 3 else [number + 1, number - 1]
    else:
        found = [number * 2, number / 2]
    return [repr(other) for other in dict.fromkeys(found) if other != number]


def survives(copy: Path, mutation: Mutation, tests: list[str]) -> bool:
    """Whether the tests pass with a mutation in place; the copy is left as it was."""
    place = copy / mutation.file
    before = place.read_text("utf-8")
    lines = before.splitlines(keepends=True)
    line = lines[mutation.line - 1].encode()
    lines[mutation.line - 1] = (line[: mutation.start] + mutation.new.encode() + line[mutation.end :]).decode()
    write(place, "".join(lines))
    try:
        return all(run(copy, some) == 0 for some in (near(copy, mutation.file, tests), tests) if some)
    finally:
        write(place, before)


def write(place: Path, text: str) -> None:
    """Write a module so that what is compiled of it is seen to be old, also within a second."""
    after = place.stat().st_mtime + 2
    place.write_text(text, "utf-8")
    os.utime(place, (after, after))


def near(copy: Path, file: Path, tests: list[str]) -> list[str]:
    """The test modules of a folder that have a word of the module's path in their names."""
    words = {word.rstrip("s") for part in file.with_suffix("").parts[2:] for word in part.split("_")}
    return sorted(
        str(place.relative_to(copy))
        for folder in tests
        for place in (copy / folder).glob("test_*.py")
        if words & {word.rstrip("s") for word in place.stem.split("_")[1:]} and place.name not in SLOW
    )


def run(copy: Path, tests: list[str]) -> int:
    """The status of the tests in a copy of the project: 0 if they pass, another if one fails or does not end."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    status = 2
    try:
        signal.alarm(LONGEST)
        os.chdir(copy)
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        for name in [name for name in sys.modules if name.split(".")[0] in ("tests", "sitegen")]:
            del sys.modules[name]
        sys.path[:] = [str(copy), *(place for place in sys.path if place not in ("", str(ROOT)))]
        os.environ.update(PYTHONPATH=str(copy), PYTEST_DISABLE_PLUGIN_AUTOLOAD="1")
        leave = [f"--ignore-glob=*/{name}" for name in SLOW]
        status = int(pytest.main([*tests, *leave, "-x", "-q", "-o", "addopts=", "-p", "no:cacheprovider"]))
    finally:
        os._exit(status)


def main() -> int:
    """Print what survives; status 1 if the tests fail without any mutation."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", nargs="+", default=[], help="words of the paths of modules")
    parser.add_argument("--but", nargs="+", default=[], help="words of the paths of modules that are left out")
    parser.add_argument("--tests", nargs="+", help="what runs, instead of the folder's own tests")
    parser.add_argument("--sample", type=int, default=0, help="so many mutations, spread evenly")
    parser.add_argument("--list", action="store_true", help="print the mutations and run nothing")
    options = parser.parse_args()
    files = [
        file.relative_to(ROOT)
        for folder in FOLDERS
        for file in sorted((ROOT / "sitegen" / folder).rglob("*.py"))
        if (not options.only or any(word in str(file.relative_to(ROOT)) for word in options.only))
        and not any(word in str(file.relative_to(ROOT)) for word in options.but)
    ]
    every = [mutation for file in files for mutation in mutations(file)]
    if options.sample and len(every) > options.sample:
        every = [every[k * len(every) // options.sample] for k in range(options.sample)]
    if options.list:
        print(*every, sep="\n")
        return 0
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "project"
        shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", "output", "__pycache__", ".hypothesis"))
        wanted = {tuple(options.tests or FOLDERS[m.file.parts[1]]) for m in every}
        for tests in wanted:
            if run(copy, list(tests)):
                print(f"{' '.join(tests)} fail as they are")
                return 1
        survivors = 0
        for mutation in every:
            if survives(copy, mutation, options.tests or FOLDERS[mutation.file.parts[1]]):
                survivors += 1
                print(f"survives: {mutation}", flush=True)
        print(f"{survivors} of {len(every)} survive")
    return 0


if __name__ == "__main__":
    sys.exit(main())
