"""What a build leaves beside the output is put right: at its own end, or by the next build where it was killed.

Before anything is staged, a journal says which folder is the next site, which one stands, and what there is somebody
else's. With it any state is told by the folders' own numbers (inodes), which an exchange of names does not change:

- the next site lies in the workshop: nothing was exchanged, it is removed;
- the old site lies there, and none in its place: it was moved away, and is put back;
- the old site lies there, and the new one in its place: what others did to the old one since it was looked at is
  brought over, and it is removed.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import msgspec

from sitegen.building.publication.locking import LOCK
from sitegen.building.publication.manifest import MANIFEST, SiteManifest, read_manifest
from sitegen.building.publication.standing import Standing, look_at
from sitegen.building.publication.trees import (
    FOLDER,
    Stamp,
    folders_of,
    look_through,
    remove_folder,
    remove_folders,
    stamp,
)
from sitegen.errors import ContentError

JOURNAL = "journal.json"
STAGED = "site"
PREVIOUS = "previous"
_JOURNAL_UNFINISHED = "journal.new"
IN_WORKSHOP = frozenset({LOCK, JOURNAL, _JOURNAL_UNFINISHED, STAGED, PREVIOUS})
_ATTEMPTS = 3


@dataclass(frozen=True, slots=True)
class Journal:
    """What a publication sets out from: the numbers of the folder of the next site and of the one that stands (0 for
    none), and what lay there of somebody else's."""

    staged: int
    standing: int
    foreign: Mapping[str, Stamp]


def write_journal(workshop: Path, standing: Standing) -> None:
    """Note down that the empty ``site`` in the workshop is to take the place of what stands."""
    journal = Journal(_number_of(workshop / STAGED), _number_of(standing.folder), standing.foreign)
    plain = msgspec.to_builtins(journal)  # names that are not UTF-8 have a form in the JSON of Python only
    (workshop / _JOURNAL_UNFINISHED).write_text(json.dumps(plain), encoding="utf-8")
    os.replace(workshop / _JOURNAL_UNFINISHED, workshop / JOURNAL)


def put_right(workshop: Path, output: Path) -> None:
    """Leave nothing in the workshop but the lock, and nothing of somebody else's anywhere but in ``output``. Raises
    ``ContentError`` for a folder there that no build has made."""
    journal = _read_journal(workshop)
    for place in (workshop / PREVIOUS, workshop / STAGED):
        if not place.exists():
            continue
        number = _number_of(place)
        if journal is None and not os.listdir(place):
            place.rmdir()
        elif journal is not None and number == journal.staged:
            shutil.rmtree(place)
        elif journal is not None and number == journal.standing:
            _put_away(place, output, journal)
        else:
            raise ContentError("stands where a build works, and is none of ours", "Put it elsewhere.", place)
    if not (workshop / STAGED).exists():
        for name in (_JOURNAL_UNFINISHED, JOURNAL):
            (workshop / name).unlink(missing_ok=True)


def _put_away(place: Path, output: Path, journal: Journal) -> None:
    """The site that stood before, with another in its place or none."""
    if not output.exists():
        place.rename(output)
        return
    before = look_at(place, read_manifest(place) or SiteManifest(), {})
    taken_over = _number_of(output) == journal.staged
    known = {path: seen for path, seen in journal.foreign.items() if taken_over or (output / path).exists()}
    retire(Standing(place, before.manifest, before.ours, known), output, _the_later)


def retire(before: Standing, output: Path, prevails: Callable[[Stamp, Stamp], bool]) -> None:
    """Remove the folder of a site whose place another has taken. What others did there since it was looked at is
    brought over; ``prevails`` says whether a file there goes over one that differs in ``output``."""
    for _ in range(_ATTEMPTS):
        if _is_emptied(before, output, prevails):
            return


def _is_emptied(before: Standing, output: Path, prevails: Callable[[Stamp, Stamp], bool]) -> bool:
    """Remove what is as ``before`` has it, move the rest to ``output``; the manifest goes last, and then the folder.
    False where something was put there meanwhile, which stays."""
    made_by_us, source = folders_of(before.manifest.files), str(before.folder)
    folders = []
    for path, seen in look_through(before.folder):
        if seen.kind == "folder":
            folders.append(path)
            if path not in made_by_us and path not in before.foreign and stamp(output / path) is None:
                (output / path).mkdir(parents=True)
        elif path != MANIFEST:
            was = before.ours.get(path) or before.foreign.get(path)
            if seen == was or not _is_brought_over(before.folder / path, seen, was, output / path, prevails):
                _remove(f"{source}/{path}")
    empty = remove_folders(before.folder, folders)
    _remove(f"{source}/{MANIFEST}")
    return remove_folder(before.folder) and empty


def _is_brought_over(
    place: Path, seen: Stamp, was: Stamp | None, goal: Path, prevails: Callable[[Stamp, Stamp], bool]
) -> bool:
    """Whether a file that was not so when it was looked at has been moved to its ``goal`` in the new site."""
    there = stamp(goal)
    if there is not None and (there in (seen, FOLDER) or not (there == was or prevails(seen, there))):
        return False
    goal.parent.mkdir(parents=True, exist_ok=True)
    os.replace(place, goal)
    return True


def _remove(file: str) -> None:
    try:
        os.unlink(file)
    except FileNotFoundError:
        return


def follow_removals(before: Standing, output: Path) -> None:
    """Remove from ``output`` what somebody has removed of his own from the site before, while the next was made."""
    for path in reversed(list(before.foreign)):
        seen, place = before.foreign[path], output / path
        if stamp(before.folder / path) is not None or stamp(place) != seen:
            continue
        if seen != FOLDER:
            place.unlink()
        elif not os.listdir(place):
            place.rmdir()


def always(brought: Stamp, there: Stamp) -> bool:
    """What was changed while the next site was made goes over that site's own."""
    return True


def _the_later(brought: Stamp, there: Stamp) -> bool:
    """After a while nobody knows which is meant: the file that was changed last stays."""
    return brought.changed > there.changed


def _number_of(folder: Path) -> int:
    return folder.stat().st_ino if folder.exists() else 0


def _read_journal(workshop: Path) -> Journal | None:
    try:
        return msgspec.convert(json.loads((workshop / JOURNAL).read_text(encoding="utf-8")), Journal)
    except (FileNotFoundError, ValueError):
        return None
