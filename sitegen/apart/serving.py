"""What a child does: it takes calls from its standard input and answers on its standard output until that is closed.

A call names a function of bytes that gives a series of bytes, one for each step of its work. Each is answered at once;
a last answer says that the work is done, or why it is not.
"""

from __future__ import annotations

import errno
import gc
import json
import os
import struct
import sys
import traceback
from collections.abc import Callable, Iterable
from importlib import import_module
from typing import IO, Any

from sitegen import errors
from sitegen.apart.limits import Limits, begin_step, end_step, end_with, is_large, keep_within
from sitegen.errors import SitegenError, each_fault

MADE, DONE, DONE_AND_LARGE, NO_MEMORY, RAISED, DEFECT = b"+", b".", b"!", b"m", b"r", b"d"
_HEAD = struct.Struct(">cQ")

_BETWEEN_SEARCHES = 50_000
"""Values that are made before Python looks for circles among them. Steps make many and hardly a circle: to look every
700, as it does by itself, takes up to a fifth of their time."""


def write_message(pipe: IO[bytes], kind: bytes, data: bytes = b"") -> None:
    """Send a message. Raises ``OSError`` where nobody reads it."""
    pipe.write(_HEAD.pack(kind, len(data)))
    pipe.write(data)
    pipe.flush()


def read_message(pipe: IO[bytes]) -> tuple[bytes, bytes] | None:
    """The next message, its kind and its data; None where there is none any more."""
    head = pipe.read(_HEAD.size)
    if len(head) < _HEAD.size:
        return None
    kind, length = _HEAD.unpack(head)
    data = pipe.read(length)
    return (kind, data) if len(data) == length else None


def serve() -> None:
    """Work as a child until the parent is gone, or wants no more."""
    calls, answers = sys.stdin.buffer, os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what a library prints does not get among the answers
    first = read_message(calls)
    if first is None:
        return
    told = json.loads(first[1])
    limits = Limits(told["seconds"], told["memory"])
    sys.path[:] = told["path"]
    end_with(told["parent"])
    keep_within(limits)
    gc.set_threshold(_BETWEEN_SEARCHES)
    while (call := read_message(calls)) is not None:
        name, _, data = call[1].partition(b"\n")
        try:
            _answer(_function(name.decode())(data), answers, limits)
        except MemoryError:
            write_message(answers, NO_MEMORY)
            return
        except BrokenPipeError:
            return
        except (SitegenError, OSError) as error:
            end_step()
            if isinstance(error, OSError) and error.errno == errno.ENOMEM:
                write_message(answers, NO_MEMORY)
                return
            write_message(answers, RAISED, _as_data(error))
        except Exception as error:
            end_step()
            if os.environ.get("SITEGEN_DEBUG"):
                traceback.print_exc()
            write_message(answers, DEFECT, words_for(error).encode(errors="backslashreplace"))


def _answer(made: Iterable[bytes], answers: IO[bytes], limits: Limits) -> None:
    begin_step(limits)
    for one in made:
        write_message(answers, MADE, one)
        begin_step(limits)
    end_step()
    write_message(answers, DONE_AND_LARGE if is_large(limits) else DONE)


def _function(name: str) -> Callable[[bytes], Iterable[bytes]]:
    module, _, function = name.partition(":")
    found: Callable[[bytes], Iterable[bytes]] = getattr(import_module(module), function)
    return found


def _as_data(error: SitegenError | OSError) -> bytes:
    if isinstance(error, OSError):
        place = None if error.filename is None else str(error.filename)
        return json.dumps([["OSError", error.errno, error.strerror, place]]).encode()
    told = [
        [type(e).__name__, e.what, e.remedy, None if e.file is None else str(e.file), e.line, e.bar]
        for e in each_fault(error)
    ]
    return json.dumps(told).encode()


def error_from(data: bytes) -> SitegenError | OSError:
    """The error that a child's function raised."""
    told: list[list[Any]] = json.loads(data)
    if told[0][0] == "OSError":
        return OSError(*told[0][1:])
    raised: list[SitegenError] = [getattr(errors, kind)(*fields) for kind, *fields in told]
    return raised[0] if len(raised) == 1 else errors.FaultsError(raised)


def words_for(error: Exception) -> str:
    """A defect of the program in a few words, with its place, for whoever mends it."""
    told = f"{type(error).__name__}: {' '.join(str(error).split())[:160]}"
    frames = [f for f in traceback.extract_tb(error.__traceback__) if "sitegen" in f.filename]
    return told + (f", {frames[-1].filename.rpartition('sitegen/')[2]}:{frames[-1].lineno}" if frames else "")
