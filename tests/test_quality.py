"""The checks that read code instead of running it: form, faults, types, and who may import whom."""

from __future__ import annotations

import ast
import os
import re
import shutil
import subprocess
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
CHECKS = {
    "form": ["ruff", "format", "--check", "."],
    "faults": ["ruff", "check", "."],
    "types": ["mypy", "--strict", "sitegen"],
    "imports": ["lint-imports"],
}


@pytest.mark.parametrize("name", CHECKS)
def test_code_passes_the_check_of_its(name: str) -> None:
    command = CHECKS[name]
    tool = shutil.which(command[0], path=os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]]))
    if tool is None:
        message = f"{command[0]} is not on this machine (pip install '.[test]')"
        if os.environ.get("CI") == "true":
            pytest.fail(message)
        pytest.skip(message)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run([tool, *command[1:]], cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_two_classes_or_kinds_of_values_of_one_name_are_one_thing() -> None:
    """A reader who has met a name meets what she knows; ``Hand`` may be written down twice, but says the same twice."""
    found: defaultdict[str, dict[str, str]] = defaultdict(dict)
    for module in sorted((ROOT / "sitegen").rglob("*.py")):
        for node in ast.parse(module.read_text(encoding="utf-8")).body:
            place = f"{module.relative_to(ROOT)}:{node.lineno}"
            if isinstance(node, ast.ClassDef):
                found[node.name][place] = place
            elif isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name) and not _is_type_variable(node):
                found[node.targets[0].id][place] = ast.unparse(node.value)
    public = {name: said for name, said in found.items() if name[0].isupper() and not name.isupper()}
    assert {name: list(said) for name, said in public.items() if len(set(said.values())) > 1} == {}


def _is_type_variable(node: ast.Assign) -> bool:
    return isinstance(node.value, ast.Call) and ast.unparse(node.value.func) == "TypeVar"


def test_nothing_is_defined_that_nothing_uses() -> None:
    """Functions, classes and constants of modules, by their names. What a package passes on is not used by that; what a
    table finds by itself is (decorated functions, published files)."""
    used: Counter[str] = Counter()
    defined: dict[str, str] = {}
    for module in sorted([*(ROOT / "sitegen").rglob("*.py"), *(ROOT / "tests").rglob("*.py")]):
        tree = ast.parse(module.read_text(encoding="utf-8"))
        used.update(_names_used_in(tree, in_texts=module.name != "__init__.py"))
        if module.is_relative_to(ROOT / "sitegen") and module.parent.name != "outputs":
            defined |= {name: f"{module.relative_to(ROOT)}: {name}" for name in _names_defined_in(tree)}
    assert [place for name, place in defined.items() if not used[name]] == []


def _names_used_in(tree: ast.Module, in_texts: bool) -> Iterator[str]:
    """Names that are read, attributes, and the function that a text such as ``module:function`` ends with."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            yield node.id
        elif isinstance(node, ast.Attribute):
            yield node.attr
        elif in_texts and isinstance(node, ast.Constant) and isinstance(node.value, str) and len(node.value) < 200:
            yield from re.findall(r"(?:^|[:\s])(\w+)(?:\(\))?$", node.value)


def _names_defined_in(tree: ast.Module) -> Iterator[str]:
    for node in tree.body:
        if isinstance(node, ast.ClassDef) or (isinstance(node, ast.FunctionDef) and not node.decorator_list):
            yield node.name
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            yield from (n.id for t in targets for n in ast.walk(t) if isinstance(n, ast.Name) and n.id[:2] != "__")
