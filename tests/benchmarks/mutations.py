"""Change one constant at a time and see whether a test notices: what survives, no test speaks of.

    python -m tests.benchmarks.mutations [--only windows tune] [--tests tests/reduction] [--sample N] [--list]

A mutation multiplies a module's numeric constant (a name in capitals, bound to a number, or a number in a tuple or
table bound to one) by two, halves it, or adds or takes away one; what comes out the same, and sets, are left out. Each
is written into a copy of the package in a temporary folder, and the tests of the folder concerned run there until the
first fails: ``tests/reduction`` for ``sitegen/reduction``, ``tests/analysis`` and ``tests/reduction`` for
``sitegen/analysis``; slow tests on generated and real scores are left out. Prints each that survives, and how many of
how many did. ``--only`` takes words of module paths; ``--sample`` takes every so many-th, so that N remain.
"""

from __future__ import annotations

import argparse
import ast
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = {"reduction": ["tests/reduction"], "analysis": ["tests/analysis", "tests/reduction"]}
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
    for node in ast.parse(text).body:
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        name = targets[0].id if isinstance(targets[0], ast.Name) else ""
        if not name.isupper() or getattr(node, "value", None) is None:
            continue
        for number in _numbers(node.value) if not _is_set(node.value) else ():
            old = ast.get_source_segment(text, number) or ""
            for new in _others(number.value):
                yield Mutation(file, name, number.lineno, number.col_offset, number.end_col_offset or 0, old, new)


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
    place.write_text("".join(lines), "utf-8")
    try:
        return run(copy, tests) == 0
    finally:
        place.write_text(before, "utf-8")


def run(copy: Path, tests: list[str]) -> int:
    """The status of the tests in a copy of the project; 124 for one that does not end."""
    leave = [f"--ignore-glob=*/{name}" for name in SLOW]
    environment = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
    command = [sys.executable, "-m", "pytest", *tests, *leave, "-x", "-q", "-n", "0", "-p", "no:cacheprovider"]
    try:
        return subprocess.run(command, cwd=copy, env=environment, capture_output=True, timeout=300).returncode
    except subprocess.TimeoutExpired:
        return 124


def main() -> int:
    """Print what survives; status 1 if the tests fail without any mutation."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", nargs="+", default=[], help="words of the paths of modules")
    parser.add_argument("--tests", nargs="+", help="what runs, instead of the folder's own tests")
    parser.add_argument("--sample", type=int, default=0, help="so many mutations, spread evenly")
    parser.add_argument("--list", action="store_true", help="print the mutations and run nothing")
    options = parser.parse_args()
    files = [
        file.relative_to(ROOT)
        for folder in FOLDERS
        for file in sorted((ROOT / "sitegen" / folder).rglob("*.py"))
        if not options.only or any(word in str(file.relative_to(ROOT)) for word in options.only)
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
