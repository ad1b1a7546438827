"""What a package passes on of its modules without loading them: who needs its nouns alone goes without the rest.

A build that has little to do is over before the search for harmonies, verovio and numpy are loaded.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from importlib import import_module


def passing_on(package: str, modules: Mapping[str, str]) -> Callable[[str], object]:
    """The ``__getattr__`` of a package for names that ``modules`` of its own define. None of these may be called as one
    of the names is. What type checkers and ``building/code.py`` read stands under ``TYPE_CHECKING`` in the package."""

    def get(name: str) -> object:
        if name not in modules:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        value = getattr(import_module(f"{package}.{modules[name]}"), name)
        setattr(sys.modules[package], name, value)
        return value

    return get
