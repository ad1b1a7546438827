"""What lies in ../shared, as the benchmarks need it: scores, annotated music, and the scripts that measure by it."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterable
from pathlib import Path
from types import ModuleType

SHARED = Path(__file__).resolve().parents[3] / "shared"


def measures_in(folder: Path) -> ModuleType:
    """``score.py`` of ``folder`` as a module. Raises ``SystemExit`` where it is absent."""
    if not (folder / "score.py").exists():
        raise SystemExit(f"skipped: no annotated music in {folder}")
    spec = importlib.util.spec_from_file_location(f"{folder.name}_score", folder / "score.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def places_in(folder: Path, prefixes: Iterable[str]) -> list[Path]:
    """The folders of pieces in ``folder``, in order, whose name starts with one of ``prefixes``."""
    return [place for place in sorted(folder.iterdir()) if place.name.startswith(tuple(prefixes))]
