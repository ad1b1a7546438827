"""A digest of the code that a step runs: the modules of this program that its function needs, and the versions of the
libraries that these import.

Modules are followed by their import statements. A name that a package only passes on is followed to the module that
defines it, so that what else the package holds does not count.
"""

from __future__ import annotations

import ast
import hashlib
import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib.metadata import PackageNotFoundError, packages_distributions, version
from pathlib import Path

_ROOT = Path(__file__).parents[2]
_PROGRAM = "sitegen"
_DATA = (".json", ".toml", ".js")
_Import = tuple[str, str]  # module, and the name taken from it (empty: the module itself)


@dataclass(slots=True)
class Sources:
    """The modules of the program below ``root``. ``known`` remembers the imports of a source by its digest, so that a
    source which did not change is not parsed again."""

    root: Path = _ROOT
    known: dict[str, list[_Import]] = field(default_factory=dict)
    _texts: dict[str, bytes | None] = field(default_factory=dict)
    _paths: dict[str, Path] = field(default_factory=dict)
    _direct: dict[str, tuple[dict[str, str], tuple[str, ...]]] = field(default_factory=dict)

    def parts_of(self, module: str) -> dict[str, str]:
        """The digest of each module, file of data and library that ``module`` needs, by name."""
        found: dict[str, str] = {}
        waiting = [module]
        while waiting:
            name = waiting.pop()
            if name in found:
                continue
            if name not in self._direct:
                self._direct[name] = self._direct_parts(name)
            parts, further = self._direct[name]
            found |= parts
            waiting += further
        return dict(sorted(found.items()))

    def _direct_parts(self, name: str) -> tuple[dict[str, str], tuple[str, ...]]:
        """The digests of a module and of the files beside it that it names, or of a library; the modules it needs."""
        if name.split(".")[0] != _PROGRAM:
            return {name: version_of(name)}, ()
        text = self._text(name)
        if text is None:
            return {}, ()
        parts = {name: hashlib.sha256(text).hexdigest()}
        further: list[str] = []
        for imported, taken in self._imports(name, text):
            if imported == _FILE:
                parts[f"{name}/{taken}"] = hashlib.sha256(self._beside(name, taken).read_bytes()).hexdigest()
            else:
                further += self._defining(imported, taken)
        return parts, tuple(further)

    def _defining(self, module: str, name: str) -> Iterator[str]:
        """The modules that define what is imported as ``name`` from ``module``; all of a package for ``*``."""
        if module.split(".")[0] != _PROGRAM:
            yield module.split(".")[0]
            return
        text = self._text(module)
        if name == "*":
            yield module
            for place in sorted(self._path(module).parent.rglob("*.py")):
                yield ".".join(place.relative_to(self.root).with_suffix("").parts)
        elif name and self._text(f"{module}.{name}") is not None:
            yield f"{module}.{name}"
        elif text is not None and self._path(module).name == "__init__.py" and name:
            passed_on = [
                (origin, taken.partition(" as ")[0])
                for origin, taken in self._imports(module, text)
                if taken == name or taken.endswith(f" as {name}")
            ]
            if not passed_on:
                yield module
            for origin, taken in passed_on:
                yield from self._defining(origin, taken)
        else:
            yield module

    def _imports(self, module: str, text: bytes) -> list[_Import]:
        package = module if self._path(module).name == "__init__.py" else module.rpartition(".")[0]
        digest = hashlib.sha256(package.encode() + b"\n" + text).hexdigest()
        if digest not in self.known:
            files = sorted(p.name for p in self._path(module).parent.iterdir() if p.suffix in _DATA)
            self.known[digest] = sorted(set(_imports_in(text, package, files)))
        return [(one, other) for one, other in self.known[digest]]

    def _text(self, module: str) -> bytes | None:
        if module not in self._texts:
            place = self._path(module)
            self._texts[module] = place.read_bytes() if place.is_file() else None
        return self._texts[module]

    def _path(self, module: str) -> Path:
        if module not in self._paths:
            place = self.root.joinpath(*module.split("."))
            self._paths[module] = place / "__init__.py" if place.is_dir() else place.with_suffix(".py")
        return self._paths[module]

    def _beside(self, module: str, name: str) -> Path:
        return self._path(module).parent / name


_FILE = "(a file)"


def _imports_in(text: bytes, package: str, files: list[str]) -> Iterator[_Import]:
    """The imports of a module of ``package``, beside which ``files`` of data lie."""
    waiting: list[ast.AST] = [ast.parse(text)]
    # statements import; only where an expression could name a module or a file are expressions looked at
    in_expressions = b"import_module" in text or any(name.encode() in text for name in files)
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
            waiting += node.orelse
            continue
        waiting += (child for child in ast.iter_child_nodes(node) if in_expressions or not isinstance(child, ast.expr))
        if isinstance(node, ast.Import):
            yield from ((alias.name, "") for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package.rsplit(".", node.level - 1)[0] if node.level else ""
            module = ".".join(part for part in (above, node.module or "") if part)
            for alias in node.names:
                yield module, f"{alias.name} as {alias.asname}" if alias.asname else alias.name
        elif isinstance(node, ast.Call) and _is_import_of_package(node):
            yield ast.literal_eval(node.args[0]), "*"
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in files:
            yield _FILE, node.value


def _is_import_of_package(node: ast.Call) -> bool:
    called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    return called == "import_module" and bool(node.args) and isinstance(node.args[0], ast.Constant)


@cache
def version_of(library: str) -> str:
    """The version of a library by the name it is imported by; that of Python for what Python brings."""
    if library in sys.stdlib_module_names:
        return "{}.{}".format(*sys.version_info)
    for name in (library, _OTHERWISE.get(library, library)):
        try:
            return version(name)
        except PackageNotFoundError:
            continue
    return ", ".join(f"{name} {version(name)}" for name in packages_distributions().get(library, ()))


_OTHERWISE = {"ruamel": "ruamel.yaml"}


def digest_of_parts(parts: dict[str, str]) -> str:
    """One digest for all."""
    return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()
