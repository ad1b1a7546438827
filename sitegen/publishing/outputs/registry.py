"""The kinds of files there are: what the modules of this folder declare, so that adding one touches one file."""

from __future__ import annotations

import pkgutil
from functools import cache
from importlib import import_module
from typing import Any, cast

from sitegen.publishing.outputs.nouns import Made, PublishedFile, Source, TakenFile


def written_of(source: type[Source]) -> tuple[PublishedFile[Source], ...]:
    """The kinds of files that are made from such data, by the names of their modules."""
    return tuple(kind for kind in _kinds() if isinstance(kind, PublishedFile) and kind.of is source)


def taken_of(source: type[Made]) -> tuple[TakenFile[Made], ...]:
    """The kinds of files whose bytes a step made and hands on in this way."""
    return tuple(cast(TakenFile[Made], k) for k in _kinds() if isinstance(k, TakenFile) and k.of is source)


@cache
def _kinds() -> tuple[PublishedFile[Any] | TakenFile[Any], ...]:
    package = import_module("sitegen.publishing.outputs")
    found: list[PublishedFile[Any] | TakenFile[Any]] = []
    for name in sorted(info.name for info in pkgutil.iter_modules(package.__path__)):
        module = import_module(f"{package.__name__}.{name}")
        found += (kind for kind in vars(module).values() if isinstance(kind, (PublishedFile, TakenFile)))
    return tuple(dict.fromkeys(found))
