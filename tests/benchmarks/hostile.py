"""Front matters, commentaries and folders that strangers may hand in: whether they hurt anything but themselves.

    python -m tests.benchmarks.hostile [--only WORDS] [--seconds 60] [--all]

Each is laid beside two good pieces, and the library is built by the command, in a process of its own. The good pieces
must be published; the odd one is published safely, or a line says what is wrong with it and the build ends with 1. It
prints each that stops the library, ends in a traceback, takes more than so many seconds of processor time or more than
a gigabyte, or leaves something in a page that could run or load (the pages are taken apart here, see
``tests/hostile/judging.py``), then how many there are of each.
"""

from __future__ import annotations

import argparse
import ctypes
import os
import resource
import shutil
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import NoReturn

import sitegen.building.steps.examining
import sitegen.building.steps.pages
import sitegen.building.whole  # noqa: F401
from sitegen.cli import main as command
from tests.hostile.commentaries import COMMENTARIES
from tests.hostile.front_matters import FRONT_MATTERS, TEXTS
from tests.hostile.judging import judge, write_library, write_odd
from tests.hostile.places import PLACES

_THIRD_FORM = 0x20080522  # of the list of rights
_READS_ALL = 0b110  # CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH
LARGEST = 1_000_000  # kilobytes of one process


@dataclass(frozen=True, slots=True)
class Trial:
    """A library that was built: what is wrong, seconds of processor time, megabytes, and what was told of it."""

    name: str
    wrong: tuple[str, ...]
    seconds: float
    megabytes: float
    told: str


def cases() -> Iterator[tuple[str, Callable[[Path], object]]]:
    """Every case by its name, with what lays it into a content folder."""
    for name, front in FRONT_MATTERS.items():
        yield f"front matter: {name}", partial(write_odd, front=front)
    for name, text in TEXTS.items():
        yield f"text: {name}", partial(write_odd, text=text)
    for name, commentary in COMMENTARIES.items():
        yield f"commentary: {name}", partial(write_odd, commentary=commentary)
    for name, lay in PLACES.items():
        yield f"place: {name}", lay


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", default="")
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--all", action="store_true", help="print also those with which nothing is wrong")
    asked = parser.parse_args()
    chosen = [case for case in cases() if asked.only in case[0]]
    count: Counter[str] = Counter()
    slowest, largest = 0.0, 0.0
    with tempfile.TemporaryDirectory() as made:
        base = Path(made)
        os.environ["SITEGEN_CACHE"] = str(base / "store")
        _try("none", lambda content: None, base, 600)  # so that the good pieces are in the store
        for name, lay in chosen:
            trial = _try(name, lay, base, asked.seconds)
            count.update({wrong.partition(":")[0] for wrong in trial.wrong} or {"well"})
            slowest, largest = max(slowest, trial.seconds), max(largest, trial.megabytes)
            if trial.wrong or asked.all:
                print(f"{trial.name}  ({trial.seconds:.1f} s, {trial.megabytes:.0f} MB)")
                for line in (*trial.wrong[:4], *([f"told: {trial.told}"] if asked.all and trial.told else [])):
                    print(f"    {line}")
                sys.stdout.flush()
    print(f"{len(chosen)} cases; slowest {slowest:.1f} s, largest {largest:.0f} MB")
    for what, number in sorted(count.items()):
        print(f"{number:5}  {what}")


def _try(name: str, lay: Callable[[Path], object], base: Path, seconds: int) -> Trial:
    folder = Path(tempfile.mkdtemp(dir=base))
    content, site, told = write_library(folder / "content"), folder / "site", folder / "told"
    lay(content)
    child = os.fork()
    if child == 0:
        _build(content, site, told, seconds)
    _, status, used = os.wait4(child, 0)
    code = os.waitstatus_to_exitcode(status)
    text = told.read_text("utf-8", "replace")
    wrong = judge(site, code, text) if code >= 0 else [f"hangs: ended by signal {-code}"]
    if used.ru_maxrss > LARGEST:
        wrong.append("takes much memory")
    odd = [line for line in text.splitlines() if "/odd" in line.lower()]
    shutil.rmtree(folder, onerror=_unlock)
    short = " | ".join(line.replace(str(content), "")[:140] for line in odd[:2]) + f" ({len(odd)} lines)"
    return Trial(name, tuple(wrong), used.ru_utime + used.ru_stime, used.ru_maxrss / 1000, short)


def _build(content: Path, site: Path, told: Path, seconds: int) -> NoReturn:
    """The command, in a process that is a copy of this one, so that nothing is loaded again."""
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
    code = 70
    try:
        _have_rights_count()
        with told.open("w", encoding="utf-8", errors="surrogateescape") as out:
            for stream in (1, 2):
                os.dup2(out.fileno(), stream)
            command(["build", str(content), "-o", str(site), "-j", "0"])
    except SystemExit as end:
        code = int(end.code or 0)
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(code)


def _have_rights_count() -> None:
    """Give up, where this is run by root, the right to read what nobody may read (Linux)."""
    if os.getuid() == 0:
        head = (ctypes.c_uint32 * 2)(_THIRD_FORM, 0)
        rights = (ctypes.c_uint32 * 6)()
        system = ctypes.CDLL(None)
        system.capget(head, rights)
        for place in (0, 1):  # what is in force, and what may be
            rights[place] &= ~_READS_ALL
        system.capset(head, rights)


def _unlock(function: Callable[..., object], path: str, error: object) -> None:
    del error
    Path(path).parent.chmod(0o777)
    if os.path.isdir(path) and not os.path.islink(path):
        Path(path).chmod(0o777)
        shutil.rmtree(path, ignore_errors=True)
    else:
        function(path)


if __name__ == "__main__":
    main()
