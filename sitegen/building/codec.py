"""Values as bytes and back: plain JSON behind a line that names the form; texts and bytes as they are.

A value is a frozen dataclass, a model of the front matter, or what Python's own types make of these. Nothing is run in
reading it: of what type it is, the reader says.
"""

from __future__ import annotations

import numbers
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from pathlib import Path, PurePath
from typing import Any, TypeVar, cast

import msgspec
from pydantic import BaseModel

T = TypeVar("T")

FORM = b"sitegen value 1\n"
"""The head of every value that is JSON; another form is another number."""


class FormError(ValueError):
    """Bytes that are no value of the type that was asked for."""


def to_bytes(value: object) -> bytes:
    """The value as bytes, the same for the same value."""
    if isinstance(value, bytes):
        return value
    if isinstance(value, str):
        return value.encode()
    return FORM + _ENCODER.encode(value)


def from_bytes(data: bytes, kind: type[T]) -> T:
    """The value of type ``kind`` that ``data`` holds. Raises ``FormError`` where it holds none."""
    if kind is bytes:
        return cast(T, data)
    try:
        if kind is str:
            return cast(T, data.decode())
        if not data.startswith(FORM):
            raise FormError(f"no value of form {FORM!r}")
        return cast(T, _decoder(cast(Any, kind))(memoryview(data)[len(FORM) :]))
    except (msgspec.MsgspecError, UnicodeDecodeError, TypeError) as error:
        raise FormError(str(error)) from error


def _as_plain(value: Any) -> Any:
    """What stands for a value that JSON has no word for."""
    if isinstance(value, Fraction):
        return str(value)
    if isinstance(value, PurePath):
        return value.as_posix()
    if isinstance(value, BaseModel):
        return {name: getattr(value, name) for name in type(value).model_fields}
    if isinstance(value, numbers.Integral):
        return int(value)
    if isinstance(value, numbers.Real):
        return float(value)
    raise TypeError(f"{type(value).__name__} has no form")


def _from_plain(kind: type, plain: Any) -> Any:
    if kind is Fraction:
        return Fraction(plain)
    if kind is Path:
        return Path(plain)
    if issubclass(kind, BaseModel):
        fields = kind.model_fields
        # what was checked when it was read is not checked again
        return kind.model_construct(
            **{
                name: msgspec.convert(given, cast(Any, fields[name].annotation), dec_hook=_from_plain)
                for name, given in plain.items()
            }
        )
    raise TypeError(f"{kind.__name__} has no form")


_ENCODER = msgspec.json.Encoder(enc_hook=_as_plain)


@cache
def _decoder(kind: Any) -> Callable[[Any], Any]:
    return msgspec.json.Decoder(kind, dec_hook=_from_plain).decode
