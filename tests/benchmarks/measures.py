"""The measuring scripts that lie beside the annotated music in ../shared."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType


def measures_in(folder: Path) -> ModuleType:
    """``score.py`` of ``folder`` as a module."""
    spec = importlib.util.spec_from_file_location(f"{folder.name}_score", folder / "score.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
