"""A publication killed at a moment of one's choice, and what must be true of the output afterwards.

Every call by which Python changes the file system is announced to audit hooks first; a publication made in a child
process is killed at one of these, as the machine would kill it: nothing is cleaned up.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from sitegen.building.digests import digest_of
from sitegen.building.publication import MANIFEST, read_manifest
from sitegen.stopping import listen

#: What is announced. The exchange of folders itself is not; the next change after it is.
CHANGES = frozenset({"os.link", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "open"})


def kill_at(
    number: int, publish: Callable[[], object], below: Path = Path("/"), by: signal.Signals = signal.SIGKILL
) -> bool:
    """Run ``publish`` in a child that is killed before its change ``number`` (from 0) of what lies ``below`` a folder;
    ``by`` SIGTERM it is stopped instead. False where it ended before."""
    child = os.fork()
    if child == 0:
        seen = 0

        def count(event: str, given: tuple[Any, ...]) -> None:
            nonlocal seen
            if event not in CHANGES or (event == "open" and given[1] in ("r", "rb")):
                return
            if str(given[0]).startswith(str(below)):
                seen += 1
                if seen == number + 1:
                    os.kill(os.getpid(), by)

        try:
            if by != signal.SIGKILL:
                listen()
            sys.addaudithook(count)
            publish()
            os._exit(0)
        except BaseException:
            os._exit(1)
    _, status = os.waitpid(child, 0)
    killed = os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 128 + by
    assert killed or os.WEXITSTATUS(status) == 0, "the publication failed by itself"
    return killed


def lies_in(folder: Path) -> dict[str, bytes]:
    """Every file below ``folder`` with its bytes; for a link what it points to."""
    return {
        place.relative_to(folder).as_posix(): os.fsencode(os.readlink(place))
        if place.is_symlink()
        else place.read_bytes()
        for place in folder.rglob("*")
        if place.is_symlink() or place.is_file()
    }


def faults_of(output: Path, sites: list[Mapping[str, bytes]], foreign: Mapping[str, bytes]) -> list[str]:
    """What is wrong with an output that must hold one of ``sites`` (an empty one means that it need not be there), and
    the files of somebody else's: complete by its manifest, and nothing besides."""
    found = lies_in(output) if output.exists() else {}
    faults = [f"{path} is lost" for path, data in foreign.items() if found.pop(path, None) != data]
    manifest = read_manifest(output)
    if manifest is None:
        return faults + ([] if {} in sites and not found else ["there is no site"])
    found.pop(MANIFEST)
    listed = {path: (listed.sha256, listed.size) for path, listed in manifest.files.items()}
    if listed != {path: (digest_of(data), len(data)) for path, data in found.items()}:
        faults.append("the site is not what its manifest lists")
    if found not in sites:
        faults.append("the site is neither the old one nor the new one")
    return faults
