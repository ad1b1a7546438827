"""One step run: its inputs are taken from the store, what it returns is put there."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from typing import Any, get_args, get_origin, get_type_hints

import msgspec

from sitegen.building.codec import FormError, from_bytes, to_bytes
from sitegen.building.steps.nouns import Outputs
from sitegen.building.store import Damaged, Store

ONE = ""
"""The name of what a step returns that returns one value."""

_REMEMBERED = 8_000_000
"""Bytes, as they are kept, of values that the next steps of a piece are likely to need again: its score and stages."""


@dataclass(frozen=True, slots=True)
class StepOrder:
    """A step to be run whose result is to be kept under ``key``; else as ``Call``."""

    key: str
    module: str
    function: str
    inputs: Mapping[str, str | tuple[str, ...] | None]
    said: Mapping[str, Any] = field(default_factory=dict)


def run(order: StepOrder, store: Store) -> dict[str, str]:
    """Run a step; the digests of what it gave, by name.

    Always on values as the store gives them, so that it makes no difference where and when they were made. Raises
    ``Damaged`` where an input is no longer there, and what the step raises.
    """
    made = getattr(import_module(order.module), order.function)
    kinds = _kinds(order.module, order.function)
    given = {name: _input(store, digests, kinds[name]) for name, digests in order.inputs.items()}
    given |= {name: msgspec.convert(value, kinds[name]) for name, value in order.said.items()}
    result = made(**given)
    outputs = result if isinstance(result, Outputs) else {ONE: result}
    kept = {name: store.put(to_bytes(value)) for name, value in outputs.items()}
    store.keep_result(order.key, kept)
    return kept


def read_value(store: Store, digest: str, kind: Any) -> Any:
    """The value of type ``kind`` under ``digest``. Raises ``Damaged`` where it is not there, or of another form."""
    remembered = _values.get((digest, kind))
    if remembered is None:
        data = store.get(digest)
        try:
            remembered = from_bytes(data, kind), len(data)
        except FormError as error:
            raise Damaged(digest) from error
        _values[digest, kind] = remembered
        held = sum(size for _, size in _values.values())
        while held > _REMEMBERED:
            held -= _values.popitem(last=False)[1][1]
    else:
        _values.move_to_end((digest, kind))
    return remembered[0]


_values: OrderedDict[tuple[str, Any], tuple[Any, int]] = OrderedDict()
"""Values by their digest and type, each with its bytes; the longest unused first."""


def _input(store: Store, digests: str | tuple[str, ...] | None, kind: Any) -> Any:
    if digests is None:
        return None
    if isinstance(digests, str):
        return read_value(store, digests, _without_none(kind))
    return tuple(read_value(store, digest, get_args(kind)[0]) for digest in digests)


def _without_none(kind: Any) -> Any:
    """The type that a value has which may be left out."""
    kinds = [one for one in get_args(kind) if one is not type(None)]
    return kinds[0] if type(None) in get_args(kind) and len(kinds) == 1 and get_origin(kind) is not tuple else kind


@cache
def _kinds(module: str, function: str) -> dict[str, Any]:
    return get_type_hints(getattr(import_module(module), function))
